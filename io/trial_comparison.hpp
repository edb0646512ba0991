// Trial shots against forecasts: which runs are needed, what of each run answers to which number,
// and how far a number scatters.
//
// Shots with the same settings are one setting: the mean of each number stands for them, once.
// Repeating a shot tells how the press scatters, not how well the model fits, so ten equal shots do
// not count as ten settings. Where the table gives the scatter of one shot, that of the mean of n
// is √n times smaller; else it is the stated one below, which is meant for model and press together
// and does not fall with n.
//
// Pressures and weights are compared by their logarithms, filled shares as they are. A part that
// was only seen to be full or short is a mark at 98 %: less than 2 % missing is hardly seen. A part
// that was full in some shots of a setting and short in others is a number there: it was at the
// edge.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "io/series.hpp"
#include "io/trial_shots.hpp"
#include "solver/setup.hpp"
#include "solver/whole/prior_fit.hpp"

namespace firstshot {

// Stated scatters, own judgement: model and press together.
inline constexpr double pressure_scatter = 0.05;  ///< of the value [-]
inline constexpr double weight_scatter = 0.01;    ///< of the value [-]
inline constexpr double filled_scatter = 0.05;    ///< [-]
inline constexpr double mark_scatter = 0.03;      ///< [-]
/// Share of a part from which on it looks full.
inline constexpr double looks_full = 0.98;

/// One thing to compare: a mean of numbers, or a mark, at one setting.
struct TrialItem {
  std::size_t setting = 0;
  TrialQuantity quantity = TrialQuantity::peak_pressure;
  std::string part;
  Measured measured;
  int shots = 0;  ///< that it is the mean of
};

struct TrialComparison {
  std::vector<std::string> keys;                 ///< of the settings
  std::vector<std::vector<std::string>> values;  ///< (settings, keys)
  std::vector<std::vector<std::string>> names;   ///< (settings): of their shots
  std::vector<std::size_t> first_shot;           ///< (settings)
  std::vector<TrialItem> items;
  std::size_t n_numbers() const;
};

/// @throws CaseError at the cell: a part that the case does not have
TrialComparison compare_trials(const Trials& trials, const Setup& setup);

/// Weight of a full shot as it was held over that at melt density; none when it was not.
std::optional<double> packing_of(const Series& series, std::size_t run);

/// What a run says to an item, in the scale of its Measured.
/// @param packing of a full shot at this setting: a shot that stays short is pressed like it
double forecast_of(const TrialItem& item, const Series& series, std::size_t run,
                   double intensification, double packing = 1.0);

/// A measured or forecast value of an item as people read it: [MPa], [g] or [%].
double shown_value(const TrialItem& item, double value);
const char* shown_unit(const TrialItem& item);

}  // namespace firstshot
