// What was read in the pictures of the gym take (../shared/clips/motion/gym-four-cameras): numbers alone.
//
// How: each picture was cut out around the place, enlarged 5 to 24 times and read by eye; pixels as
// src/sight counts them, the middle of the first one (0.5, 0.5). Frames count from 0. The deviations are what
// the eye and the compression leave, judged at the enlarged picture.
// - Corners of the board: along an edge of 60 to 150 pixels the steepest change of brightness was found at
//   every pixel (smoothed by 1 pixel) and a line laid through them (left over: 0.05 to 0.4 pixels). A corner
//   is where two such lines meet; where only one edge shows, its end was read by eye and is worse along it.
//   All corners are rounded over 1 to 2 pixels.
// - Marks on the deck and markers on the skin: the brightest patch within 3.5 (deck: 4.5 to 7) pixels of
// where
//   the eye put it, its pixels weighed by how far they exceed 40 % (deck: 50 %) of its height.
// - Markers that are smeared by their movement: the middle of the smear, by eye.
// - Contacts: where the foot's outline leaves the middle of the rail's top, by eye. Where the rail is in the
//   foot's shadow its middle was carried on from where it shows.
#pragma once

#include <cstddef>
#include <vector>

#include "sight/calibrate.h"

namespace plumbmark::gym {

using sight::KnownPlace;
using sight::Pixel;

/// A board of 2.00 m x 0.60 m lies on the deck, and on its middle line stands a rail, 5 cm high: x along it
/// towards cameras 1 and 2, y to the left of somebody who walks there, z up from the board's top. Four
/// corners of the board and those of the rail's top.
enum Place : std::size_t {
    front_right,
    front_left,
    back_right,
    back_left,
    rail_front_right,
    rail_front_left,
    rail_back_right,
    rail_back_left,
};

/// The published scene points give the rail's middle; that it is 2 cm wide was measured in the pictures, and
/// is within the tolerance either way.
inline constexpr double kTape = 0.005;
inline std::vector<KnownPlace> board() {
    return {{"board, front right", {0, -0.3, 0}, kTape},
            {"board, front left", {0, 0.3, 0}, kTape},
            {"board, back right", {-2, -0.3, 0}, kTape},
            {"board, back left", {-2, 0.3, 0}, kTape},
            {"rail's top, front right", {0, -0.01, 0.05}, kTape},
            {"rail's top, front left", {0, 0.01, 0.05}, kTape},
            {"rail's top, back right", {-2, -0.01, 0.05}, kTape},
            {"rail's top, back left", {-2, 0.01, 0.05}, kTape}};
}
inline constexpr double kRailTop = 0.05;

struct Picture {
    const char* name;
    std::size_t camera;  ///< 0 to 3: cam01 to cam04
    bool narrowed;       ///< 1088 x 1920 made 1080 x 1906, with bars of 7 rows above and below
    std::vector<sight::SeenPlace> points;
    std::vector<sight::SeenEdge> edges;
};

inline const std::vector<Picture>& pictures() {
    static const std::vector<Picture> kAll{
        {"cam01.mp4, frame 0",
         0,
         true,
         {{front_right, {575.6, 1519.3}, 1.0},
          {front_left, {825.4, 1438.8}, 1.5},
          {back_right, {118.8, 980.6}, 1.2},
          {rail_front_right, {712.5, 1454.0}, 1.5},
          {rail_back_right, {224.9, 951.9}, 1.0}},
         {}},
        // A post hides the front left corner; both edges that meet there show.
        {"cam02.mp4, frame 0",
         1,
         true,
         {{front_right, {315.3, 1342.6}, 1.5},
          {back_left, {715.2, 998.2}, 0.8},
          {rail_front_right, {459.0, 1330.5}, 1.2},
          {rail_front_left, {470.9, 1330.8}, 0.8}},
         {{front_right,
           front_left,
           {{489.9, 1357.6}, {530.0, 1360.3}, {567.0, 1362.8}, {604.1, 1365.3}},
           0.7},
          {back_left,
           front_left,
           {{714.0, 1003.3},
            {702.4, 1050.0},
            {690.0, 1100.0},
            {657.1, 1234.2},
            {645.0, 1281.5},
            {633.0, 1328.8}},
           0.8}}},
        {"cam03.mp4, frame 0",
         2,
         false,
         {{front_left, {131.7, 1136.4}, 0.7},
          {front_right, {312.4, 1043.1}, 0.8},
          {back_left, {829.8, 1493.6}, 0.8},
          {back_right, {993.0, 1330.0}, 1.2},
          {rail_front_left, {220.8, 1072.6}, 0.7},
          {rail_back_left, {918.6, 1386.6}, 0.8},
          {rail_back_right, {923.3, 1382.4}, 1.2}},
         {}},
        {"cam04.mp4, frame 0",
         3,
         false,
         {{front_left, {632.3, 1006.1}, 1.0},
          {front_right, {842.3, 949.1}, 0.7},
          {back_left, {387.0, 1616.8}, 1.2},
          {back_right, {710.9, 1587.1}, 0.6},
          {rail_front_right, {729.9, 962.1}, 0.8},
          {rail_front_left, {725.0, 960.0}, 1.5},
          {rail_back_right, {533.9, 1582.6}, 0.8},
          {rail_back_left, {521.8, 1583.9}, 1.0}},
         {}},
        {"cam01_ext.png",
         0,
         false,
         {{front_right, {579.4, 1524.4}, 0.6},
          {front_left, {832.4, 1442.3}, 1.2},
          {back_right, {119.4, 980.5}, 1.0},
          {rail_front_right, {717.3, 1456.9}, 0.8},
          {rail_front_left, {727.0, 1456.7}, 1.2},
          {rail_back_right, {226.4, 951.5}, 0.7},
          {rail_back_left, {234.2, 951.2}, 1.2}},
         {}},
        {"cam03_ext.png",
         2,
         false,
         {{front_left, {131.7, 1136.3}, 0.7},
          {front_right, {312.4, 1043.3}, 0.8},
          {back_left, {829.5, 1493.0}, 0.8},
          {back_right, {993.0, 1329.5}, 1.2},
          {rail_front_left, {220.8, 1072.6}, 0.7},
          {rail_back_left, {918.6, 1386.5}, 0.8},
          {rail_back_right, {923.6, 1382.4}, 1.2}},
         {}}};
    return kAll;
}
inline constexpr std::size_t kClips = 4;  ///< the first four pictures are of the clips, in their order

/// The same thing in several of the clips at one frame.
struct InClip {
    std::size_t camera;
    Pixel at;
};
struct Thing {
    const char* name;
    int frame;
    std::vector<InClip> seen;
};

/// White squares on the deck, beside the board.
inline constexpr double kDeckStandard = 0.8;
inline const std::vector<Thing>& deck_marks() {
    static const std::vector<Thing> kAll{
        {"right, far back",
         0,
         {{0, {109.4, 1060.8}}, {1, {439.4, 1041.1}}, {2, {874.4, 1234.5}}, {3, {837.1, 1411.2}}}},
        {"right, middle",
         0,
         {{0, {317.8, 1335.4}}, {1, {326.0, 1207.7}}, {2, {516.4, 1091.6}}, {3, {890.0, 1070.2}}}},
        {"left, front", 0, {{0, {767.0, 1291.0}}, {1, {758.2, 1269.4}}, {2, {165.0, 1240.9}}}}};
    return kAll;
}

/// Reflecting markers on the feet (balls of some 1.5 cm), at frames on which that foot rests. None of them
/// was used for anything that was calibrated.
inline constexpr double kMarkerStandard = 0.7;
inline const std::vector<Thing>& markers() {
    static const std::vector<Thing> kAll{
        {"left heel", 0, {{2, {571.4, 1212.7}}, {3, {614.1, 1236.1}}}},
        {"left ankle, outside", 0, {{1, {589.4, 1073.0}}, {2, {540.9, 1210.7}}, {3, {599.6, 1222.0}}}},
        {"left little toe's ball", 0, {{0, {447.7, 1135.9}}, {1, {582.1, 1102.5}}}},
        {"left ankle, inside", 0, {{0, {403.4, 1093.0}}, {1, {557.2, 1063.5}}}},
        {"left ankle, inside", 30, {{0, {393.9, 1108.3}}, {1, {547.1, 1075.6}}}},
        {"left little toe's ball", 30, {{0, {447.3, 1142.2}}, {1, {580.8, 1108.8}}}},
        {"left big toe's ball", 30, {{0, {420.3, 1142.6}}, {1, {543.2, 1102.2}}, {2, {517.8, 1177.2}}}},
        {"left heel", 30, {{2, {571.4, 1211.2}}, {3, {617.4, 1234.8}}}},
        {"left ankle, outside", 30, {{1, {583.4, 1075.8}}, {2, {541.6, 1207.5}}, {3, {607.1, 1219.2}}}},
        {"left little toe's ball", 80, {{0, {442.5, 1140.2}}, {1, {580.0, 1107.9}}}},
        {"left big toe's ball", 80, {{0, {423.9, 1143.3}}, {1, {544.3, 1102.3}}}},
        {"right ankle, inside", 80, {{0, {518.0, 1208.2}}, {1, {532.8, 1145.8}}}},
        {"right ankle, outside", 80, {{0, {474.3, 1204.6}}, {2, {442.6, 1134.1}}, {3, {687.1, 1102.6}}}},
        {"right heel", 80, {{2, {438.1, 1145.8}}, {3, {664.8, 1114.0}}}},
        {"right ankle, inside", 95, {{0, {518.5, 1212.9}}, {1, {530.0, 1148.8}}}},
        {"right ankle, outside", 95, {{0, {477.0, 1201.7}}, {2, {440.9, 1131.9}}, {3, {684.2, 1099.9}}}},
        {"right little toe's ball", 95, {{0, {472.1, 1264.6}}, {1, {485.1, 1187.2}}}},
        {"right big toe's ball", 95, {{0, {520.3, 1271.5}}, {1, {511.9, 1196.8}}}},
        {"right heel", 95, {{1, {537.8, 1131.6}}, {2, {434.0, 1140.9}}, {3, {660.9, 1108.5}}}}};
    return kAll;
}

/// Where a foot's contact with the rail's top ends, on the middle of the rail; seen from two cameras that
/// look from the same end.
inline constexpr double kContactStandard = 3;
inline const std::vector<Thing>& contacts() {
    static const std::vector<Thing> kAll{
        {"front of the left toes", 30, {{0, {447.2, 1175.2}}, {1, {553.7, 1127.8}}}},
        {"front of the left toes", 60, {{0, {444.5, 1175.2}}, {1, {552.2, 1128.4}}}},
        {"front of the left toes", 80, {{0, {442.7, 1174.9}}, {1, {554.5, 1130.0}}}},
        {"back of the right foot", 80, {{2, {432.6, 1165.5}}, {3, {670.8, 1134.2}}}},
        {"back of the right foot", 95, {{2, {427.5, 1163.0}}, {3, {675.1, 1127.9}}}}};
    return kAll;
}

/// Between which frames it happened, camera by camera: the last at which it surely had not, the first at
/// which it surely had.
struct Between {
    int early, late;
};
/// The ball of the right foot leaves the rail. From cameras 3 and 4 it is pressed down at 14 and there is a
/// gap at 16; from the front the toes hide the sole.
inline const std::vector<Between> kRightLeaves{{13, 17}, {13, 16}, {14, 16}, {14, 16}};
/// The right foot comes down across the rail: it sinks until 77, and rests at 78.
inline const std::vector<Between> kRightComes{{75, 79}, {76, 78}, {76, 78}, {76, 78}};

/// The marker on the outside of the left ankle, while that foot swings forward; cameras 3 and 4.
struct SwingFrame {
    int frame;
    Pixel in_third, in_fourth;
};
inline constexpr double kSwingThird = 1.5, kSwingFourth = 1.0;
inline const std::vector<SwingFrame>& swing() {
    static const std::vector<SwingFrame> kAll{
        {86, {495.5, 1157.8}, {583.3, 1154.4}}, {87, {482.4, 1152.0}, {582.4, 1144.3}},
        {88, {469.1, 1148.7}, {583.1, 1135.2}}, {89, {453.0, 1146.2}, {584.9, 1127.2}},
        {90, {437.2, 1145.7}, {587.0, 1121.6}}, {91, {422.7, 1144.9}, {590.4, 1114.6}},
        {92, {407.4, 1144.7}, {595.8, 1108.3}}, {93, {390.8, 1143.7}, {601.6, 1100.7}},
        {94, {375.3, 1141.6}, {607.1, 1093.5}}, {95, {360.2, 1139.4}, {612.6, 1086.7}}};
    return kAll;
}
inline constexpr double kFrameRate = 60;

}  // namespace plumbmark::gym
