#include "tools/cli/calibrate_report.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace firstshot {
namespace {

std::string setting_text(const Calibration& c, std::size_t s) {
  std::string text;
  for (std::size_t k = 0; k < c.trials.keys.size(); ++k) {
    const std::string& key = c.trials.keys[k];
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", key.substr(key.rfind('.') + 1),
                        c.trials.values[s][k]);
  }
  return text.empty() ? "as the case says" : text;
}

std::string factor_table(const Calibration& c) {
  std::string text = fmt::format("{:<22} {:>15} {:>15}   {:.0f} % interval\n", "", "case",
                                 "calibrated", 100.0 * c.confidence);
  for (std::size_t j = 0; j < c.factors.size(); ++j) {
    const CalibratedFactor& f = c.factors[j];
    const FactorInterval i = c.interval(j);
    text += fmt::format("{:<22} {:>15} {:>15}   {} to {}, {} ({:.0f} % of the doubt is left)\n",
                        f.words, factor_text(f, f.value), factor_text(f, c.estimate(j)),
                        factor_text(f, i.low), factor_text(f, i.high),
                        told_words(c.told.factors[j].told), 100.0 * c.told.factors[j].left);
  }
  return text;
}

/// Marks that the forecast meets are only counted.
std::string comparison_table(const Calibration& c) {
  std::string text =
      fmt::format("{:<26} {:>10} {:>10} {:>10}\n", "", "trial", "case", "calibrated");
  for (std::size_t s = 0; s < c.trials.values.size(); ++s) {
    int met = 0;
    std::string rows;
    for (std::size_t i = 0; i < c.trials.items.size(); ++i) {
      const TrialItem& item = c.trials.items[i];
      if (item.setting != s) continue;
      const bool is_mark = item.measured.kind != MeasuredKind::number;
      if (is_mark && misfit_of(c, i) == 0.0) {
        ++met;
        continue;
      }
      const std::string trial = !is_mark
                                    ? fmt::format("{:.4g}", shown_value(item, item.measured.value))
                                : item.measured.kind == MeasuredKind::above ? "full"
                                                                            : "short";
      rows += fmt::format("  {:<24} {:>10} {:>10.4g} {:>10.4g} {}\n",
                          quantity_words(item.quantity, item.part), trial,
                          shown_value(item, c.fit.forecast_before[i]),
                          shown_value(item, c.run_forecast(i)), shown_unit(item));
    }
    text += fmt::format("{} ({} shot{})\n{}", setting_text(c, s), c.trials.names[s].size(),
                        c.trials.names[s].size() == 1 ? "" : "s", rows);
    if (met > 0) text += fmt::format("  {} parts are full or short as seen\n", met);
  }
  return text;
}

}  // namespace

std::string calibration_text(const Calibration& c) {
  std::string text = fmt::format("{}: {} shots at {} settings, {} numbers and {} marks of parts\n",
                                 c.title, c.shots, c.trials.values.size(), c.trials.n_numbers(),
                                 c.trials.items.size() - c.trials.n_numbers());
  text += factor_table(c);
  text += c.scatter_given
              ? "scatter as the table gives it\n"
              : fmt::format(
                    "scatter {:.2f} times the stated one (pressure {:.0f} %, weight {:.0f} "
                    "%, filled {:.0f} %)\n",
                    c.fit.scatter_factor, 100.0 * pressure_scatter, 100.0 * weight_scatter,
                    100.0 * filled_scatter);
  for (const std::string& sentence : calibration_sentences(c))
    text += fmt::format("  - {}\n", sentence);
  return text + comparison_table(c);
}

}  // namespace firstshot
