// `fill.pvd` and its steps, for a general viewer of VTK files. Each kept step is two files:
//   steps/fill_0012.vtu     the triangles (parts, and runners drawn as areas)
//   steps/runners_0012.vtp  the channels given as lines, one polyline per channel; only when there
//   are any
// The collection lists both at the time of the step, so one click opens the whole run. Two files,
// since a viewer draws tubes around lines only where a data set holds nothing else.
//
// Coordinates are those of the input (unit_length metres each). Point fields, all 32-bit: "arrival
// time [s]", "fill fraction", "pressure [MPa]", "mean temperature [degC]", "core temperature
// [degC]", "solid share of the gap", "wall-side shear rate [1/s]", "gas pressure [MPa]", "air
// pocket", "scorch ranking [J/m]", "pressure when holding begins [MPa]", "frozen-in pressure
// [MPa]", "volume shrinkage [%]"; NaN where not reached, the last three until the full cavity is
// held. Cell fields: "part id", "thickness [mm]" on triangles, "channel id" on lines. "part names"
// and "channel names" (field data) give the names in the order of the ids. Lines have the point
// field "radius" in the unit of the coordinates: a round bar of that radius has the channel's area.
//
// Compressed (zlib), base64, so each file is well-formed XML in UTF-8. Each file is whole or not
// there.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "solver/stage/state.hpp"

namespace firstshot {

/// Text of a step's file of triangles. @param unit_length of a coordinate unit [m] > 0 @param time
/// [s]
std::string cavity_vtu(const Model& model, const NodeFields& fields, double unit_length,
                       double time);
/// Text of a step's file of lines; arguments as above.
std::string runners_vtp(const Model& model, const NodeFields& fields, double unit_length,
                        double time);

/// The files of a run in its results folder.
class VtkSeries {
 public:
  VtkSeries(std::filesystem::path folder, const Model& model, double unit_length);

  /// Writes the files of the next step and lists them in fill.pvd. @param time [s]
  /// @throws Error when the disk is full or the folder cannot be written
  void add_step(const NodeFields& fields, double time);
  /// Lists a step whose files an earlier run wrote; missing files are written again.
  void adopt_step(const NodeFields& fields, double time);
  /// Writes fill.pvd from the list so far.
  void write_collection() const;

  std::size_t steps() const { return times_.size(); }
  /// True for the names that a series gives to files inside the folder `steps`.
  static bool owns(const std::string& file_name);

 private:
  std::filesystem::path cavity_file(std::size_t number) const;
  std::filesystem::path runners_file(std::size_t number) const;
  void write_step(const NodeFields& fields, double time, bool only_missing);

  std::filesystem::path folder_;
  const Model& model_;
  double unit_length_;
  std::vector<double> times_;
};

}  // namespace firstshot
