// What a run found, in SI units, ready for files and verdicts.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/assess/air_findings.hpp"
#include "solver/assess/cost.hpp"
#include "solver/assess/cycle.hpp"
#include "solver/assess/ejection_figures.hpp"
#include "solver/assess/flow_paths.hpp"
#include "solver/assess/hold_figures.hpp"
#include "solver/assess/press_settings.hpp"
#include "solver/assess/scorch_ranking.hpp"
#include "solver/assess/short_shots.hpp"
#include "solver/assess/side_balance.hpp"
#include "solver/assess/warp_drivers.hpp"
#include "solver/assess/weld_lines.hpp"
#include "solver/stage/state.hpp"
#include "solver/whole/findings.hpp"

namespace firstshot {

struct PartResult {
  std::string name;
  double volume = 0.0;           ///< [m³]
  double mass = 0.0;             ///< of melt at filling density when full [kg]
  double filled_fraction = 0.0;  ///< [-]
  double first_melt = -1.0;      ///< [s], -1 = never
  double full = -1.0;            ///< [s], -1 = never
  int order = 0;                 ///< 1 = full first, 0 = not full
  double nearly_full = -1.0;     ///< when nearly_full_share of it is melt [s], -1 = never
};
struct GateResult {
  std::string name, part;
  double width = 0.0, depth = 0.0, length = 0.0;  ///< [m]
  double pressure_loss = 0.0;                     ///< largest during filling [Pa]
  double peak_shear_rate = 0.0;                   ///< [1/s]
  double freeze = -1.0;                           ///< when it is solid [s], -1 = not
};
struct Result {
  Outcome outcome = Outcome::filled;
  std::string cause;  ///< one plain sentence on why it ended
  State state;        ///< at the end
  std::vector<HistoryEntry> history;
  std::vector<PartResult> parts;  ///< regions with role part, in the order of the model
  std::vector<GateResult> gates;
  std::vector<AirPocketResult> air_pockets;  ///< highest pressure first
  std::vector<ShortShot> short_shots;        ///< parts that are not full
  std::vector<FlowPath> paths;               ///< to the last place of each part
  std::vector<SideChange> sides;             ///< what changed when one side was full
  std::vector<PartPacking> packing;          ///< of each part while the last ones filled
  std::vector<ShutOffStretch> scorch;        ///< where compressed air leaves, worst first
  HoldResult hold;                           ///< of the full cavity
  Verdict verdict;
  std::vector<WeldLine> weld_lines;       ///< where fronts met, longest first
  std::optional<CycleResult> cycle;       ///< null when stopped, or when melt does not cool
  std::optional<PressSettings> settings;  ///< null without a cycle
  std::vector<WarpDriver> warp;           ///< largest first; warp itself is not modelled
  EjectionFigures ejection;               ///< pins, and parts that hold on to their cores
  std::optional<CostResult> cost;         ///< null without rates
  double fill_time = -1.0;                ///< last cavity full [s], -1 = never
  double filled_fraction = 0.0;           ///< of the whole volume [-]
  double peak_pressure = 0.0;             ///< melt at the injection point [Pa]
  double peak_opening_force = 0.0;        ///< of filling and holding [N]
  double volume = 0.0;                    ///< of the whole shot [m³]
  double mass_error = 0.0;                ///< |stored - injected| / injected [-]
};

}  // namespace firstshot
