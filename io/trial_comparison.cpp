#include "io/trial_comparison.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr double megapascal = 1e6, gram = 1e-3, percent = 0.01;
/// A run in which nothing flowed has no pressure to take a logarithm of; this is as good as none.
constexpr double least_ratio = 1e-6;

bool by_logarithm(TrialQuantity q) { return q != TrialQuantity::filled; }

double stated_scatter(TrialQuantity q) {
  if (q == TrialQuantity::shot_weight) return weight_scatter;
  return q == TrialQuantity::filled ? filled_scatter : pressure_scatter;
}

std::vector<std::string> parts_of(const Model& model) {
  std::vector<std::string> names;
  for (const Region& r : model.regions)
    if (r.role == Role::part) names.push_back(r.name);
  return names;
}

class Comparison {
 public:
  Comparison(const Trials& trials, const Setup& setup)
      : trials_(trials), setup_(setup), parts_(parts_of(setup.model)) {}

  TrialComparison compare() {
    group_shots();
    for (std::size_t s = 0; s < members_.size(); ++s) {
      add_numbers(s);
      add_marks(s);
    }
    return std::move(out_);
  }

 private:
  void check_part(const TrialShot& shot, const CsvCell& cell, const std::string& part) const {
    if (std::find(parts_.begin(), parts_.end(), part) != parts_.end()) return;
    const std::string near = nearest_word(part, parts_);
    throw trials_.table.error(
        shot.row, cell,
        fmt::format("the case has no part \"{}\"; {}", part,
                    near.empty() ? fmt::format("its parts are {}", fmt::join(parts_, ", "))
                                 : fmt::format("the nearest name is \"{}\"", near)));
  }

  /// What was set, with the stroke where a volume was noted.
  std::vector<CaseOverride> settings_of(const TrialShot& shot) const {
    std::vector<CaseOverride> all = shot.settings;
    if (!shot.injected_volume) return all;
    const double d = setup_.press.screw_diameter;
    const double stroke = *shot.injected_volume / (std::numbers::pi / 4.0 * d * d);
    all.push_back({"process.switch_over.position", format_quantity(stroke, Dimension::length)});
    return all;
  }

  void group_shots() {
    for (std::size_t i = 0; i < trials_.shots.size(); ++i) {
      std::vector<std::string> keys, values;
      for (const CaseOverride& change : settings_of(trials_.shots[i])) {
        keys.push_back(change.key);
        values.push_back(change.value);
      }
      out_.keys = keys;
      const auto s = static_cast<std::size_t>(
          std::find(out_.values.begin(), out_.values.end(), values) - out_.values.begin());
      if (s == out_.values.size()) {
        out_.values.push_back(values);
        out_.names.emplace_back();
        out_.first_shot.push_back(i);
        members_.emplace_back();
      }
      members_[s].push_back(i);
      out_.names[s].push_back(trials_.shots[i].name);
    }
  }

  void add_numbers(std::size_t s) {
    struct Mean {
      double sum = 0.0, scatter = 0.0;
      int n = 0;
    };
    std::map<std::pair<TrialQuantity, std::string>, Mean> means;
    for (const std::size_t i : members_[s])
      for (const TrialNumber& number : trials_.shots[i].numbers) {
        if (number.quantity == TrialQuantity::filled)
          check_part(trials_.shots[i], number.cell, number.part);
        Mean& mean = means[{number.quantity, number.part}];
        const bool logarithm = by_logarithm(number.quantity);
        mean.sum += logarithm ? std::log(number.value) : number.value;
        mean.scatter += number.scatter.value_or(0.0) / (logarithm ? number.value : 1.0);
        ++mean.n;
      }
    for (const auto& [what, mean] : means) {
      Measured m{MeasuredKind::number, mean.sum / mean.n, stated_scatter(what.first)};
      if (trials_.scatter_given) m.scatter = mean.scatter / mean.n / std::sqrt(mean.n);
      // Nothing is more than full, so a full part says only that.
      if (what.first == TrialQuantity::filled && m.value >= 1.0)
        m = {MeasuredKind::above, looks_full, mark_scatter};
      out_.items.push_back({s, what.first, what.second, m, mean.n});
    }
  }

  void add_marks(std::size_t s) {
    std::map<std::string, std::pair<int, int>> seen;  // part → short, looked at
    for (const std::size_t i : members_[s]) {
      const TrialShot& shot = trials_.shots[i];
      if (!shot.shorts) continue;
      for (const CsvCell& cell : *shot.shorts) {
        check_part(shot, cell, cell.text);
        ++seen[cell.text].first;
      }
      for (const std::string& part : parts_) ++seen[part].second;
    }
    for (const std::string& part : parts_) {
      const auto [shorts, looked] = seen[part];
      if (looked == 0 || has_number(s, part)) continue;
      Measured m{shorts > 0 ? MeasuredKind::below : MeasuredKind::above, looks_full, mark_scatter};
      if (shorts > 0 && shorts < looked) m.kind = MeasuredKind::number;
      out_.items.push_back({s, TrialQuantity::filled, part, m, looked});
    }
  }

  bool has_number(std::size_t s, const std::string& part) const {
    return std::any_of(out_.items.begin(), out_.items.end(), [&](const TrialItem& item) {
      return item.setting == s && item.quantity == TrialQuantity::filled && item.part == part;
    });
  }

  const Trials& trials_;
  const Setup& setup_;
  std::vector<std::string> parts_;
  std::vector<std::vector<std::size_t>> members_;  ///< (settings): shots
  TrialComparison out_;
};

bool was_held(const Series& series, std::size_t run) {
  return series.number("hold.held", run) > 0.5;
}

/// As it was held; of a shot that was not, what flowed in, pressed as a full one is. At melt
/// density alone the weight would jump by several per cent where a part just stays short.
double weight_of(const Series& series, std::size_t run, double packing) {
  if (was_held(series, run)) return series.number("shot.mass_g", run);
  return packing * series.number("fill.filled_fraction", run) *
         series.number("shot.mass_at_melt_density_g", run);
}

}  // namespace

std::size_t TrialComparison::n_numbers() const {
  return static_cast<std::size_t>(std::count_if(
      items.begin(), items.end(),
      [](const TrialItem& item) { return item.measured.kind == MeasuredKind::number; }));
}

TrialComparison compare_trials(const Trials& trials, const Setup& setup) {
  return Comparison(trials, setup).compare();
}

std::optional<double> packing_of(const Series& series, std::size_t run) {
  constexpr double full = 0.999;
  if (!was_held(series, run) || series.number("fill.filled_fraction", run) < full)
    return std::nullopt;
  return series.number("shot.mass_g", run) / series.number("shot.mass_at_melt_density_g", run);
}

double forecast_of(const TrialItem& item, const Series& series, std::size_t run,
                   double intensification, double packing) {
  const auto logarithm = [](double value, double unit) {
    return std::log(std::max(value, least_ratio) * unit);
  };
  switch (item.quantity) {
    case TrialQuantity::peak_pressure:
      return logarithm(series.number("fill.peak_pressure_MPa", run), megapascal);
    case TrialQuantity::peak_oil_pressure:
      return logarithm(series.number("fill.peak_pressure_MPa", run), megapascal / intensification);
    case TrialQuantity::shot_weight:
      return logarithm(weight_of(series, run, packing), gram);
    case TrialQuantity::filled:
      break;
  }
  return series.number(fmt::format("parts.{}.filled_fraction", item.part), run);
}

double shown_value(const TrialItem& item, double value) {
  if (item.quantity == TrialQuantity::filled) return value / percent;
  return std::exp(value) / (item.quantity == TrialQuantity::shot_weight ? gram : megapascal);
}

const char* shown_unit(const TrialItem& item) {
  if (item.quantity == TrialQuantity::filled) return "%";
  return item.quantity == TrialQuantity::shot_weight ? "g" : "MPa";
}

}  // namespace firstshot
