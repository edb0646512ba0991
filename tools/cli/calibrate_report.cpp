#include "tools/cli/calibrate_report.hpp"

#include <algorithm>
#include <string_view>
#include <utility>

#include <fmt/format.h>

namespace firstshot {
namespace {

/// "1 shot", "3 shots".
std::string counted(std::size_t n, const char* one, const char* many) {
  return fmt::format("{} {}", n, n == 1 ? one : many);
}

/// As people say it: [["15 MPa", "3 s"], ["9 MPa", "1 s"]] → "15 MPa for 3 s, then 9 MPa for 1 s".
std::string value_words(std::string value) {
  if (!value.starts_with("[[")) return value;
  for (const auto& [from, to] :
       {std::pair("\"], [\"", ", then "), {"\", \"", " for "}, {"[[\"", ""}, {"\"]]", ""}})
    for (std::size_t at = value.find(from); at != std::string::npos; at = value.find(from))
      value.replace(at, std::string_view(from).size(), to);
  return value;
}

std::string setting_text(const Calibration& c, std::size_t s) {
  std::string text;
  for (std::size_t k = 0; k < c.trials.keys.size(); ++k) {
    std::string words = c.trials.keys[k].substr(c.trials.keys[k].find('.') + 1);
    std::replace_if(
        words.begin(), words.end(), [](char letter) { return letter == '_' || letter == '.'; },
        ' ');
    text +=
        fmt::format("{}{} {}", text.empty() ? "" : ", ", words, value_words(c.trials.values[s][k]));
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
    std::size_t met = 0;
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
    text += fmt::format("{} ({})\n{}", setting_text(c, s),
                        counted(c.trials.names[s].size(), "shot", "shots"), rows);
    if (met > 0)
      text += fmt::format("  {}\n", counted(met, "part is full or short, as it was seen",
                                            "parts are full or short, as they were seen"));
  }
  return text;
}

}  // namespace

std::string calibration_text(const Calibration& c) {
  const std::size_t numbers = c.trials.n_numbers(), marks = c.trials.items.size() - numbers;
  std::string text = fmt::format("{}: {} at {}, {}", c.title,
                                 counted(static_cast<std::size_t>(c.shots), "shot", "shots"),
                                 counted(c.trials.values.size(), "setting", "settings"),
                                 counted(numbers, "number", "numbers"));
  if (marks > 0)
    text +=
        fmt::format(", {} full or short", counted(marks, "part seen to be", "parts seen to be"));
  text += "\n";
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
