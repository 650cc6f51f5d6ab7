// A station's plan as a drawing seen from above: numbers in it, names beside it.
#pragma once

#include <string>
#include <vector>

#include "report/briefing.h"
#include "report/internal/paper.h"

namespace plumbmark::report {

struct PlanDrawing {
    int width = 0, height = 0;
    std::vector<paper::Stroke> strokes;  ///< in the order in which they are drawn
};

/// To scale, y upwards, with a bar that says how long a metre is. The plan has places.
[[nodiscard]] PlanDrawing plan_drawing(const BriefingPlan& plan);

/// "1 pier deck: start; 2 ...", a sentence; then what the plan does not have, and what a plan is not. Names
/// stand in isolates.
[[nodiscard]] std::vector<std::string> plan_legend(const BriefingPlan& plan);

}  // namespace plumbmark::report
