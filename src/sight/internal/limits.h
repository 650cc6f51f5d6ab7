// What a calibration must keep to be given out: one set of limits for those who calibrate and for those who
// say beforehand whether one would be.
#pragma once

namespace plumbmark::sight {

/// The risk at which something that is right is called wrong.
inline constexpr double kRisk = 0.001;
/// A focal length known worse than this part of itself is not known.
inline constexpr double kVagueFocal = 0.2;
/// Of how far it is from what it sees, where the camera stands has to be known better than this.
inline constexpr double kVagueCentre = 0.25;
/// Places that reach less far across than this part of how far they reach along lie on one line.
inline constexpr double kLineReach = 0.01;
/// Two ways to stand are two where they lie more than so many standard deviations apart.
inline constexpr double kRivalApart = 6;

}  // namespace plumbmark::sight
