// A process window as it is written: window.json (schema: cases/window.schema.json) and window.csv.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "io/judged_shot.hpp"
#include "io/window_plan.hpp"
#include "solver/numeric/share_interval.hpp"

namespace firstshot {

struct WindowRun {
  std::string folder;                 ///< of the run, below that of the window
  std::array<std::string, 2> values;  ///< on both axes, as written
  JudgedShot judged;
  std::string reason;  ///< why it has no result; empty otherwise
};

/// How far the best setting may move along one axis, to one side.
struct WindowSide {
  std::size_t axis = 0;
  bool upwards = false;
  double edge = 0.0;  ///< where shots stop being good, or the end of the range [unit of the axis]
  double sure = 0.0;  ///< the last value that was run and good [unit]
  double distance = 0.0;            ///< from the best setting to the edge [unit]
  double share = 0.0;               ///< the same over the range of the axis [-]
  std::optional<ShotClass> beyond;  ///< empty: good to the end of the range
};

struct WindowBest {
  WindowRun run;
  std::vector<WindowSide> sides;
  double clearance = 0.0;  ///< to the nearest edge or end of the range in any direction [-]
};

/// Shots at the best setting with what varies in the shop.
struct WindowShots {
  std::vector<VariedKey> varied;
  std::size_t shots = 0;
  std::uint64_t seed = 1;
  std::array<std::size_t, shot_classes.size()> counts{};
  ShareInterval interval;           ///< of the share of good shots, at `confidence`
  std::vector<std::string> differ;  ///< what the bad shots have more or less of, in words
  std::size_t good() const { return counts[static_cast<std::size_t>(ShotClass::fills)]; }
  double share() const { return static_cast<double>(good()) / static_cast<double>(shots); }
};
inline constexpr double shots_confidence = 0.95;

struct WindowRecord {
  std::string title, accuracy;
  std::vector<WindowAxis> axes;  ///< two
  std::vector<WindowRun> runs;   ///< in the order in which they were done
  WindowLattice lattice;
  LatticeEdges edges;
  WindowMap map;
  std::optional<WindowBest> best;  ///< empty when nothing is good
  std::optional<WindowShots> shots;
  std::size_t count(ShotClass kind) const;
};

inline constexpr int window_schema_version = 1;
std::string window_json(const WindowRecord& record);
/// A row per run (RFC 4180).
std::string window_csv(const WindowRecord& record);

/// A number for people: four digits.
std::string short_number(double value);
/// "224 degC".
std::string short_quantity(double value, const std::string& unit);
/// "melt temperature" of "process.melt_temperature".
std::string axis_words(const std::string& key);

}  // namespace firstshot
