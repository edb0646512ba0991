// The case as written: the same tables and keys as the file, values in SI. A value that the file
// leaves open and that depends on other things (a card, the accuracy level) stays empty here;
// build_setup fills it in.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "io/case_cycle.hpp"
#include "io/case_override.hpp"
#include "io/case_solid.hpp"
#include "io/toml_reader.hpp"
#include "mesh/layout.hpp"
#include "solver/setup.hpp"

namespace firstshot {

struct CaseMaterial {
  std::string card;                     ///< name or path as written
  double regrind = 0.0;                 ///< share by weight [-]
  double masterbatch = 0.0;             ///< share by weight [-]
  double regrind_flow_ratio = 1.0;      ///< melt flow rate over that of fresh material [-]
  double masterbatch_flow_ratio = 1.0;  ///< the same [-]
  double viscosity_factor = 1.0;        ///< of this lot over the card [-]
  double contact_conductance = 0.0;     ///< [W/(m² K)]
  RegrindColour regrind_colour = RegrindColour::same;
};

/// Values that go before those of the card.
struct CasePress {
  std::optional<std::string> card;
  std::optional<std::string> name;
  std::optional<double> screw_diameter, stroke_max, speed_max, melt_pressure_max, intensification;
  std::optional<double> clamp_force, nozzle_volume, dry_cycle, plasticising_rate;
  std::optional<double> barrel_volume;
};

struct CaseProcess {
  double melt_temperature = 0.0;          ///< [K]
  double mould_temperature_fixed = 0.0;   ///< [K]
  double mould_temperature_moving = 0.0;  ///< [K]
  // Exactly one of the next four.
  std::optional<double> fill_time;        ///< [s]
  std::optional<double> injection_speed;  ///< [m³/s]
  std::vector<SpeedStep> speed_profile;
  std::optional<double> constant_pressure;  ///< [Pa]
  SwitchOver switch_over;
  std::vector<HoldingStep> holding;
  std::optional<double> injection_pressure_max;  ///< [Pa]
  double entrance_length = 0.0;
  bool barrel_compressible = true;
  double time_limit = 0.0;  ///< [s]
  bool isothermal = false;
};

struct CaseAir {
  bool enabled = true;
  double parting_line_gap = 0.0;    ///< [m]
  double parting_line_land = 0.0;   ///< [m]
  double vent_depth_factor = 1.0;   ///< [-]
  double smallest_pocket = 0.0;     ///< [m³]
  double scorch_temperature = 0.0;  ///< [K]
  double scorch_time = 0.0;         ///< [s]
  double pressure_limit = 0.0;      ///< [Pa]
};

struct CaseAccuracy {
  std::string level = "default";       ///< preview, default or fine
  std::optional<double> element_size;  ///< [m]
  std::optional<int> layers, volume_steps;
  std::optional<double> tolerance;
  std::optional<double> grading;
  std::optional<int> snapshots;
};

struct Case {
  std::string title;
  std::string unit = "mm";  ///< of the coordinates of the input, which the results take over
  /// Linear shrinkage allowance [-] when the input has the measures of the part; those of the
  /// cavity are larger by 1/(1 - shrinkage). Empty: the input is the cavity.
  std::optional<double> shrinkage;
  Layout layout;                   ///< with the injection point; images are parts of their own
  std::optional<CaseSolid> solid;  ///< instead of a layout, which is empty then
  CaseMaterial material;
  CasePress press;
  CaseProcess process;
  ShutOff closed;
  CaseCooling cooling;
  Mould mould;
  std::optional<CostRates> cost;
  CaseAir air;
  Limits limits;
  CaseAccuracy accuracy;
  std::vector<double> cutters;             ///< diameters [m], the largest first
  std::vector<std::string> notes;          ///< what was repaired or left out in a drawing
  std::shared_ptr<const TomlFile> source;  ///< where it was read, for errors and relative paths
};

/// Reads a case and the layout or solid it names. @throws CaseError with file, line, column and key
/// @param progress told the share of a large solid that has been read
Case read_case(const std::filesystem::path& path, const std::function<void(double)>& progress = {});
/// The same with other values in the place of those in the file.
Case read_case(const std::filesystem::path& path, std::span<const CaseOverride> changes,
               const std::function<void(double)>& progress = {});
/// @param name shown in errors @param directory that relative paths in the text refer to
Case read_case_text(const std::string& text, const std::string& name,
                    const std::filesystem::path& directory);

/// Takes another accuracy level, as an option of the program may ask; keys given in the file stay.
/// @throws Error for an unknown level
void set_accuracy_level(Case& c, std::string_view level);

/// Error at a key of the case, "process.melt_temperature", wherever it stands or would stand.
CaseError case_error_at(const Case& c, std::string_view key, const std::string& what);

/// Lengths in the cavity over those of the input [-]: 1 / (1 - shrinkage).
double cavity_scale(const Case& c);
/// Length in the cavity of one coordinate unit of the input [m].
double unit_length(const Case& c);

/// Reads the layout of a file, or of the table [layout] of a case; check_keys must have passed.
class CaseTable;
/// Reads the solid that a case names, with its marks and its injection point.
CaseSolid read_case_solid(const CaseTable& root, const std::function<void(double)>& progress);
Layout read_layout(const CaseTable& table);
/// Reads the tables [[part]] of a case. @param unit of their coordinates @throws CaseError a name
/// given twice
std::vector<PartMark> read_part_marks(const CaseTable& root, const std::string& unit);
/// Cross section at the start and at the end of a runner.
std::pair<Section, Section> read_section(const CaseTable& section);

}  // namespace firstshot
