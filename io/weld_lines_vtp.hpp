// `weld_lines.vtp`: one polyline per meeting of fronts. Points carry "meeting angle [deg]", "mean
// temperature [degC]", "pressure [MPa]", "meeting time [s]"; lines carry "part id" (index into the
// array "part names"), "kind" (0 weld, 1 meld), "visible" and "in channel" (0 or 1).
#pragma once

#include <string>
#include <vector>

#include "solver/assess/weld_lines.hpp"

namespace firstshot {

/// Text of the file. @param unit_length of a coordinate unit of the input [m]
std::string weld_lines_vtp(const std::vector<WeldLine>& lines, double unit_length);

}  // namespace firstshot
