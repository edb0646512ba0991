#include "io/calibration.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/csv_field.hpp"
#include "io/summary_number.hpp"

namespace firstshot {
namespace {

using Json = nlohmann::ordered_json;

constexpr double large_misfit = 3.0;    // scatters
constexpr double known_together = 0.9;  // correlation
constexpr double at_bound = 1e-6;       // of a logarithm

/// NaN and endless become null.
Json number(double value) { return std::isfinite(value) ? Json(summary_number(value)) : Json(); }

const char* told_key(Told told) {
  if (told == Told::well) return "well";
  return told == Told::partly ? "partly" : "not_told";
}

const char* kind_key(const TrialItem& item) {
  if (item.measured.kind == MeasuredKind::number) return "number";
  return item.measured.kind == MeasuredKind::above ? "seen_full" : "seen_short";
}

std::string mark_words(const TrialItem& item) {
  return item.measured.kind == MeasuredKind::above ? "full" : "short";
}

/// Of a factor, or of an offset behind them.
const std::string& words_of(const Calibration& c, std::size_t j) {
  return j < c.factors.size() ? c.factors[j].words : c.offsets[j - c.factors.size()].words;
}
const std::string& name_of(const Calibration& c, std::size_t j) {
  return j < c.factors.size() ? c.factors[j].name : c.offsets[j - c.factors.size()].name;
}

/// "viscosity factor and entrance length higher, contact conductance lower".
std::string moved_words(const Calibration& c, const ToldDirection& d) {
  std::array<std::vector<std::string>, 2> words;  // higher, lower
  for (const std::size_t j : d.members)
    words[d.direction[j] > 0.0 ? 0 : 1].push_back(words_of(c, j));
  std::string text;
  for (const std::size_t way : {0U, 1U}) {
    if (words[way].empty()) continue;
    std::string names = words[way].front();
    for (std::size_t k = 1; k < words[way].size(); ++k)
      names += (k + 1 < words[way].size() ? ", " : " and ") + words[way][k];
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", names, way == 0 ? "higher" : "lower");
  }
  return text;
}

void add_directions(const Calibration& c, std::vector<std::string>& out) {
  for (const ToldDirection& d : c.told.directions) {
    const bool alone = d.members.size() == 1;
    // The levels of the model alone are no question of the user.
    if (std::all_of(d.members.begin(), d.members.end(),
                    [&](std::size_t j) { return j >= c.factors.size(); }))
      continue;
    const std::string& first = words_of(c, d.members.front());
    const double left = 100.0 * d.left;
    if (d.told == Told::not_told && alone)
      out.push_back(
          fmt::format("These shots say next to nothing about {}: its interval is what was "
                      "known before.",
                      first));
    if (d.told == Told::not_told && !alone)
      out.push_back(
          fmt::format("Not told apart: {} would change nothing that was seen.", moved_words(c, d)));
    if (d.told == Told::partly && alone)
      out.push_back(fmt::format("Only partly told: {} ({:.0f} % of the earlier doubt is left).",
                                first, left));
    if (d.told == Told::partly && !alone)
      out.push_back(
          fmt::format("Only partly told ({:.0f} % of the earlier doubt is left): {} would "
                      "hardly have shown.",
                      left, moved_words(c, d)));
    if (d.told == Told::well && !alone)
      out.push_back(fmt::format("Well told: {} would have shown.", moved_words(c, d)));
  }
}

void add_pairs(const Calibration& c, std::vector<std::string>& out) {
  for (std::size_t i = 0; i < c.factors.size(); ++i)
    for (std::size_t j = 0; j < i; ++j)
      if (std::abs(c.told.correlation[i][j]) > known_together)
        out.push_back(
            fmt::format("{} and {} are known together only (correlation {:.2f}): do not "
                        "take one of them over without the other.",
                        c.factors[j].words, c.factors[i].words, c.told.correlation[i][j]));
}

void add_counts(const Calibration& c, std::vector<std::string>& out) {
  const std::size_t n = c.trials.items.size(), factors = c.factors.size();
  if (n < factors)
    out.push_back(fmt::format(
        "{} cannot tell {} factors apart: at least {} known before. Shots at another "
        "speed, melt temperature or stroke tell more.",
        n == 1 ? "One number or mark" : fmt::format("{} numbers and marks", n), factors,
        factors - n == 1 ? "one of their combinations stays as it was"
                         : fmt::format("{} of their combinations stay as they were", factors - n)));
  else if (c.trials.values.size() < factors)
    out.push_back(
        fmt::format("All shots were made at {} setting{}, fewer than the {} factors; shots "
                    "at another speed, melt temperature or stroke tell more.",
                    c.trials.values.size(), c.trials.values.size() == 1 ? "" : "s", factors));
}

void add_misfits(const Calibration& c, std::vector<std::string>& out) {
  for (std::size_t i = 0; i < c.trials.items.size(); ++i) {
    const TrialItem& item = c.trials.items[i];
    if (std::abs(misfit_of(c, i)) < large_misfit) continue;
    const std::string& shot = c.trials.names[item.setting].front();
    if (item.measured.kind == MeasuredKind::number)
      out.push_back(fmt::format(
          "{}: {} was {:.4g} {}, the calibrated forecast says {:.4g}; that is {:.1f} times the "
          "scatter. No value of these factors explains it: look at the entry and at the settings.",
          shot, quantity_words(item.quantity, item.part), shown_value(item, item.measured.value),
          shown_unit(item), shown_value(item, c.run_forecast(i)), std::abs(misfit_of(c, i))));
    else
      out.push_back(
          fmt::format("{}: part {} was seen {}, the calibrated forecast has it {:.0f} % "
                      "full. No value of these factors explains it.",
                      shot, item.part, mark_words(item), shown_value(item, c.fit.forecast[i])));
  }
}

void add_offsets(const Calibration& c, std::vector<std::string>& out) {
  constexpr double noticeable = 0.01;
  for (std::size_t k = 0; k < c.offsets.size(); ++k) {
    const double by = c.fit.estimate[c.factors.size() + k];
    if (std::abs(by) > noticeable)
      out.push_back(
          fmt::format("All {} of the trial lie {:.0f} % {} the calibrated forecast; that "
                      "much is put down to the model itself.",
                      c.offsets[k].of_weight ? "weights" : "pressures",
                      100.0 * std::abs(std::expm1(by)), by > 0.0 ? "above" : "below"));
  }
}

void add_end(const Calibration& c, std::vector<std::string>& out) {
  constexpr double hardly = 0.5;  // of a spread: an interval of 90 % then still holds 87 %
  if (!c.fit.converged && c.fit.last_step > hardly)
    out.push_back(
        "The search ended before it had settled; take these numbers as a direction only.");
  for (std::size_t j = 0; j < c.factors.size(); ++j) {
    const PriorFactor& p = c.factors[j].prior;
    const double at = c.fit.estimate[j];
    if (at - p.low < at_bound || p.high - at < at_bound)
      out.push_back(fmt::format("{} ran into the end of its range; something else is wrong.",
                                c.factors[j].words));
  }
}

Json factors_json(const Calibration& c) {
  Json list = Json::array();
  for (std::size_t j = 0; j < c.factors.size(); ++j) {
    const CalibratedFactor& f = c.factors[j];
    const FactorInterval interval = c.interval(j);
    list.push_back({{"name", f.name},
                    {"key", f.key},
                    {"before_si", number(f.value)},
                    {"after_si", number(c.estimate(j))},
                    {"low_si", number(interval.low)},
                    {"high_si", number(interval.high)},
                    {"before", factor_text(f, f.value)},
                    {"after", factor_text(f, c.estimate(j))},
                    {"low", factor_text(f, interval.low)},
                    {"high", factor_text(f, interval.high)},
                    {"degrees_of_freedom", number(c.fit.degrees[j])},
                    {"prior_log_spread", number(f.prior.spread)},
                    {"prior_source", f.prior_source},
                    {"log_spread", number(std::sqrt(c.fit.covariance[j][j]))},
                    {"doubt_left", number(c.told.factors[j].left)},
                    {"told", told_key(c.told.factors[j].told)}});
  }
  return list;
}

Json directions_json(const Calibration& c) {
  Json list = Json::array();
  for (const ToldDirection& d : c.told.directions) {
    Json weights = Json::array();
    for (std::size_t j = 0; j < d.direction.size(); ++j)
      weights.push_back({{"factor", name_of(c, j)}, {"in_prior_spreads", number(d.direction[j])}});
    list.push_back({{"singular_value", number(d.singular_value)},
                    {"doubt_left", number(d.left)},
                    {"told", told_key(d.told)},
                    {"direction", weights}});
  }
  return list;
}

Json items_json(const Calibration& c) {
  Json list = Json::array();
  for (std::size_t i = 0; i < c.trials.items.size(); ++i) {
    const TrialItem& item = c.trials.items[i];
    const bool is_number = item.measured.kind == MeasuredKind::number;
    list.push_back({{"setting", item.setting + 1},
                    {"what", quantity_words(item.quantity, item.part)},
                    {"kind", kind_key(item)},
                    {"shots", item.shots},
                    {"unit", shown_unit(item)},
                    {"trial", is_number ? number(shown_value(item, item.measured.value)) : Json()},
                    {"before", number(shown_value(item, c.fit.forecast_before[i]))},
                    {"after", number(shown_value(item, c.run_forecast(i)))},
                    {"misfit", number(misfit_of(c, i))}});
  }
  return list;
}

Json settings_json(const Calibration& c) {
  Json list = Json::array();
  for (std::size_t s = 0; s < c.trials.values.size(); ++s) {
    Json set = Json::array();
    for (std::size_t k = 0; k < c.trials.keys.size(); ++k)
      set.push_back({{"key", c.trials.keys[k]}, {"value", c.trials.values[s][k]}});
    list.push_back({{"number", s + 1}, {"shots", c.trials.names[s]}, {"set", set}});
  }
  return list;
}

}  // namespace

double Calibration::run_forecast(std::size_t item) const {
  const TrialQuantity q = trials.items[item].quantity;
  double forecast = fit.forecast[item];
  for (std::size_t k = 0; k < offsets.size() && q != TrialQuantity::filled; ++k)
    if (offsets[k].of_weight == (q == TrialQuantity::shot_weight))
      forecast -= fit.estimate[factors.size() + k];
  return forecast;
}

double Calibration::estimate(std::size_t factor) const { return std::exp(fit.estimate[factor]); }

FactorInterval Calibration::interval(std::size_t factor) const {
  return interval_of(fit, factor, confidence);
}

std::vector<CommonOffset> common_offsets(const TrialComparison& trials,
                                         const std::string& accuracy) {
  const double pressure = accuracy == "preview" ? 0.08 : accuracy == "default" ? 0.05 : 0.04;
  constexpr double weight = 0.01;
  std::vector<CommonOffset> offsets;
  const auto any = [&](bool of_weight) {
    return std::any_of(trials.items.begin(), trials.items.end(), [&](const TrialItem& item) {
      return item.quantity != TrialQuantity::filled &&
             (item.quantity == TrialQuantity::shot_weight) == of_weight;
    });
  };
  if (any(false))
    offsets.push_back({"pressure_offset", "the model's level of all pressures", false, pressure});
  if (any(true))
    offsets.push_back({"weight_offset", "the model's level of all weights", true, weight});
  return offsets;
}

ForecastModel with_offsets(ForecastModel model, const std::vector<CommonOffset>& offsets,
                           const TrialComparison& trials) {
  return [model = std::move(model), offsets, &trials](const Matrix& points) {
    Matrix inner = points;
    for (auto& point : inner) point.resize(point.size() - offsets.size());
    Forecasts out = model(inner);
    for (std::size_t p = 0; p < points.size(); ++p) {
      if (!out[p]) continue;
      for (std::size_t i = 0; i < trials.items.size(); ++i) {
        const TrialQuantity q = trials.items[i].quantity;
        for (std::size_t k = 0; k < offsets.size() && q != TrialQuantity::filled; ++k)
          if (offsets[k].of_weight == (q == TrialQuantity::shot_weight))
            (*out[p])[i] += points[p][inner[p].size() + k];
      }
    }
    return out;
  };
}

FitProblem fit_problem(const std::vector<CalibratedFactor>& factors,
                       const std::vector<CommonOffset>& offsets, const TrialComparison& trials,
                       bool scatter_given) {
  FitProblem problem;
  for (const CalibratedFactor& f : factors) problem.factors.push_back(f.prior);
  for (const CommonOffset& o : offsets) problem.factors.push_back({0.0, o.spread});
  for (const TrialItem& item : trials.items) problem.measured.push_back(item.measured);
  problem.scatter_known = scatter_given;
  return problem;
}

const char* told_words(Told told) {
  if (told == Told::well) return "well told";
  return told == Told::partly ? "partly told" : "not told";
}

double misfit_of(const Calibration& c, std::size_t item) {
  const Measured& m = c.trials.items[item].measured;
  const double forecast = c.fit.forecast[item];
  if (m.kind == MeasuredKind::number)
    return (m.value - forecast) / (m.scatter * c.fit.scatter_factor);
  const double short_of = (m.value - forecast) / m.scatter;
  // Nothing is more than full: a forecast of exactly full against a short part is all wrong.
  if (m.kind == MeasuredKind::below && forecast >= 1.0) return -large_misfit;
  return m.kind == MeasuredKind::above ? std::max(0.0, short_of) : std::min(0.0, short_of);
}

std::vector<std::string> calibration_sentences(const Calibration& c) {
  std::vector<std::string> out;
  add_counts(c, out);
  add_directions(c, out);
  add_pairs(c, out);
  add_misfits(c, out);
  add_offsets(c, out);
  add_end(c, out);
  out.insert(out.end(), c.left_out.begin(), c.left_out.end());
  return out;
}

std::string calibration_json(const Calibration& c) {
  Json out;
  out["schema_version"] = 1;
  out["title"] = c.title;
  out["date"] = c.date;
  out["accuracy"] = c.accuracy;
  out["shots"] = c.shots;
  out["settings"] = settings_json(c);
  out["confidence"] = c.confidence;
  out["factors"] = factors_json(c);
  out["directions"] = directions_json(c);
  out["correlation"] = Json::array();
  for (std::size_t i = 0; i < c.factors.size(); ++i) {
    Json line = Json::array();
    for (std::size_t j = 0; j < c.factors.size(); ++j)
      line.push_back(number(c.told.correlation[i][j]));
    out["correlation"].push_back(line);
  }
  out["common_offsets"] = Json::array();
  for (std::size_t k = 0; k < c.offsets.size(); ++k)
    out["common_offsets"].push_back(
        {{"name", c.offsets[k].name},
         {"prior_log_spread", number(c.offsets[k].spread)},
         {"log_estimate", number(c.fit.estimate[c.factors.size() + k])}});
  out["scatter"] = {{"given", c.scatter_given},
                    {"factor", number(c.fit.scatter_factor)},
                    {"numbers", c.fit.numbers},
                    {"factors_told", number(c.fit.told)}};
  out["comparison"] = items_json(c);
  out["sentences"] = calibration_sentences(c);
  out["base_card"] = c.base_card;
  out["card"] = c.card;
  out["converged"] = c.fit.converged;
  out["rounds"] = c.fit.rounds;
  out["runs"] = c.runs;
  constexpr int indent = 2;
  return out.dump(indent, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string calibration_csv(const Calibration& c) {
  std::string text = "setting,shots,what,unit,trial,before,after,misfit\r\n";
  for (std::size_t i = 0; i < c.trials.items.size(); ++i) {
    const TrialItem& item = c.trials.items[i];
    const bool is_number = item.measured.kind == MeasuredKind::number;
    text += fmt::format("{},{},{},{},{},{:.6g},{:.6g},{:.3g}\r\n", item.setting + 1, item.shots,
                        csv_field(quantity_words(item.quantity, item.part)), shown_unit(item),
                        is_number ? fmt::format("{:.6g}", shown_value(item, item.measured.value))
                                  : mark_words(item),
                        shown_value(item, c.fit.forecast_before[i]),
                        shown_value(item, c.run_forecast(i)), misfit_of(c, i));
  }
  return text;
}

}  // namespace firstshot
