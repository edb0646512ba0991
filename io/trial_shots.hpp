// Trial shots in a table: a row per shot, the head row names each column with its unit.
//
//   shot, melt_temperature [degC], fill_time [s], peak_pressure [MPa], shot_weight [g], short_parts
//   1,    220,                     0.5,           38.2,                20.1,            none
//   2,    220,                     0.5,           ,                    14.9,            mast + deck
//
// What was set: any key of the case with its table ("process.melt_temperature [degC]"; those of
// [process] also without it), and
//   stroke [mm]               way of the screw after which injection ends (switch-over)
//   injected_volume [cm3]     the same as a volume
//   holding_pressure [MPa]    of the melt, with holding_time [s]; 0 lets the melt stop
// What was seen:
//   peak_pressure [MPa]       of the melt at the injection point
//   peak_oil_pressure [bar]   at the hydraulic gauge
//   shot_weight [g]           everything that was ejected
//   filled.PART [%]           how far a part is full, by weight or by eye
//   short_parts               parts that are not full, with + between them; "none"
//   NAME_scatter              of the columns above but the last: standard deviation of one shot in
//                             the column's unit. All of them or none.
// shot and note are texts. An empty cell was not looked at; what was set stands in every row.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/case_override.hpp"
#include "io/csv_table.hpp"

namespace firstshot {

enum class TrialQuantity { peak_pressure, peak_oil_pressure, shot_weight, filled };

/// One number seen at one shot.
struct TrialNumber {
  TrialQuantity quantity = TrialQuantity::peak_pressure;
  std::string part;               ///< of filled, else empty
  double value = 0.0;             ///< [Pa], [kg] or share [-]
  std::optional<double> scatter;  ///< the same unit
  CsvCell cell;
};

struct TrialShot {
  std::string name;  ///< as in the column shot, else "shot 1", "shot 2", …
  CsvRow row;
  std::vector<CaseOverride> settings;          ///< the same keys in every shot
  std::optional<double> injected_volume;       ///< [m³]
  std::vector<TrialNumber> numbers;            ///< quantities in the order of the columns
  std::optional<std::vector<CsvCell>> shorts;  ///< parts that were not full; none: not looked at
};

struct Trials {
  CsvTable table;
  std::vector<TrialShot> shots;
  bool scatter_given = false;
};

/// @throws CaseError with file, line and column: a column that nobody knows, a unit that is missing
/// or of another dimension, columns that contradict each other, a cell that is no value of its
/// column, no row, no number or mark at all
Trials read_trials(const std::filesystem::path& path);
Trials trials_from(const CsvTable& table);

/// "peak pressure", "filled deck". For sentences.
std::string quantity_words(TrialQuantity quantity, const std::string& part);

}  // namespace firstshot
