// What still things are made of: colour and small relief by place.
#pragma once

#include "course.h"

namespace plumbmark::scene {

struct Paint {
    Vec3 albedo;
    Vec3 normal;  ///< with relief
    Vec3 glow;    ///< light of its own
};
[[nodiscard]] Paint paint_of(const Solid& solid, Vec3 at, Vec3 normal);

}  // namespace plumbmark::scene
