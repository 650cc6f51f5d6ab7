// Pictures at half their size, for showing them while they pass.
#pragma once

#include "media/picture.h"

namespace plumbmark::media {

/// The upright picture at half its width and height (an odd last column or row is left out; never less than
/// one pixel), as media/picture.h's to_rgba has it, but for a quarter of the work: each luma sample is the
/// mean of four, and colour samples that lie half as dense already are taken as they are. Against the mean of
/// to_rgba's pixels colours may lie a quarter of a pixel aside, and where HLG or PQ is brought to SDR, or
/// values are cut, the mean of the codes is not the code of the mean. So it is for pictures that are replaced
/// in a moment; what is measured or marked on is to_rgba's. 'into' may be used memory. False, and an empty
/// image, where to_rgba gives none. Any thread.
bool to_rgba_half(const Picture& picture, RgbaImage& into);

}  // namespace plumbmark::media
