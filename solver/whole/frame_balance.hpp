// What a Result says of the balance of its frame.
#pragma once

#include <optional>
#include <string>

#include "solver/assess/frame_figures.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

/// Mass of a part [kg]: as it was held, or of melt when nothing was.
double part_mass(const Result& result, const PartResult& part);

/// The figures with the weight of the shot and of its sides as it was held, so that they agree with
/// the masses of the parts; as they are when nothing was held.
FrameFigures as_held(const Setup& setup, const Result& result, FrameFigures figures);

/// Way to the place that melt reaches last: into the first part that stays short, else into the
/// part that is full last. Null when melt reached no part.
const FlowPath* last_path(const Model& model, const Result& result);

/// How far the pressure at the injection point jumps when the first of several parts is full, over
/// 5 % of the time so far; see pressure_jump [Pa].
std::optional<double> jump_at_first_full(const Result& result);

}  // namespace firstshot
