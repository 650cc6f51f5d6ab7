// A program for the graphics card. UI thread only, with the GL context current.
#pragma once

#include <vector>

namespace plumbmark::desk {

/// Compiles and links; the vertex shader's inputs get the places 0, 1, ... in this order. 0 where the card
/// cannot.
[[nodiscard]] unsigned linked_program(const char* vertex, const char* fragment,
                                      const std::vector<const char*>& inputs);

}  // namespace plumbmark::desk
