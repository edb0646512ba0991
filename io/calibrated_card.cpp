#include "io/calibrated_card.hpp"

#include <algorithm>
#include <variant>

#include <fmt/format.h>

#include "io/toml_text.hpp"
#include "io/units.hpp"

namespace firstshot {
namespace {

using D = Dimension;

/// One table of a card: its lines, then the sources of its numbers.
class CardText {
 public:
  explicit CardText(const Material& material) : material_(material) {}
  void table(const std::string& name) {
    name_ = name;
    keys_.clear();
    text_ += fmt::format("\n[{}]\n", name);
  }
  void line(const std::string& key, const std::string& value) {
    text_ += fmt::format("{} = {}\n", key, value);
  }
  void quantity(const std::string& key, double value, D dimension) {
    keys_.push_back(key);
    line(key, toml_string(format_quantity(value, dimension)));
  }
  void number(const std::string& key, double value) {
    keys_.push_back(key);
    line(key, toml_number(value));
  }
  void interval(const std::string& key, double low, double high, D dimension) {
    keys_.push_back(key);
    line(key, fmt::format("[{}, {}]", toml_string(format_quantity(low, dimension)),
                          toml_string(format_quantity(high, dimension))));
  }
  void know(const std::string& key) { keys_.push_back(key); }
  /// @param instead of what the base card says, for one key each
  void sources(const std::vector<std::pair<std::string, std::string>>& instead = {}) {
    text_ += fmt::format("\n[{}.source]\n", name_);
    for (const std::string& key : keys_) {
      const auto mine = std::find_if(instead.begin(), instead.end(),
                                     [&](const auto& entry) { return entry.first == key; });
      line(key, toml_string(mine != instead.end() ? mine->second : source_of(key)));
    }
  }
  const std::string& text() const { return text_; }
  void raw(const std::string& more) { text_ += more; }

 private:
  std::string source_of(const std::string& key) const {
    for (const std::string& quantity : {fmt::format("{}.{}", name_, key), name_})
      for (const Material::Source& source : material_.sources)
        if (source.quantity == quantity) return source.source;
    return fmt::format("as in the card {}", material_.name);
  }
  const Material& material_;
  std::string name_, text_;
  std::vector<std::string> keys_;
};

/// Lines of a law. @return key of the number that a factor changes
struct LawLines {
  CardText& out;
  std::string operator()(const CrossWlf& law) const {
    out.line("law", toml_string("cross_wlf"));
    out.number("slope", law.n);
    out.quantity("stress_at_thinning", law.tau_star, D::pressure);
    out.quantity("reference_viscosity", law.D1, D::viscosity);
    out.quantity("reference_temperature", law.D2, D::temperature);
    out.quantity("pressure_shift", law.D3, D::pressure_shift);
    out.number("temperature_steepness", law.A1);
    out.quantity("temperature_offset", law.A2, D::temperature_difference);
    return "reference_viscosity";
  }
  std::string operator()(const CrossExponential& law) const {
    out.line("law", toml_string("cross_exponential"));
    out.number("slope", law.n);
    out.quantity("stress_at_thinning", law.tau_star, D::pressure);
    out.quantity("reference_viscosity", law.B, D::viscosity);
    out.quantity("activation_temperature", law.Tb, D::temperature_difference);
    out.quantity("pressure_coefficient", law.beta, D::per_pressure);
    return "reference_viscosity";
  }
  std::string operator()(const Newtonian& law) const {
    out.line("law", toml_string("newtonian"));
    out.quantity("reference_viscosity", law.eta_ref, D::viscosity);
    out.quantity("reference_temperature", law.T_ref, D::temperature);
    out.quantity("temperature_coefficient", law.b, D::per_temperature);
    return "reference_viscosity";
  }
  std::string operator()(const PowerLaw& law) const {
    out.line("law", toml_string("power_law"));
    out.number("slope", law.n);
    out.quantity("viscosity_at_unit_rate", law.K, D::viscosity);
    out.quantity("reference_temperature", law.T_ref, D::temperature);
    out.quantity("temperature_coefficient", law.b, D::per_temperature);
    return "viscosity_at_unit_rate";
  }
};

void write_viscosity(CardText& out, const Material& base, const CardCalibration& c) {
  out.table("viscosity");
  const std::string key = std::visit(LawLines{out}, scaled(base.viscosity, c.factor));
  out.quantity("band", c.band, D::ratio);
  const std::string trial =
      fmt::format("calibrated from {} trial shots of \"{}\", {}", c.shots, c.case_title, c.date);
  out.sources(
      {{key, fmt::format("{}: viscosity {:.4g} times that of {} at equal stress ({:.0f} % interval "
                         "{:.3g} to {:.3g})",
                         trial, c.factor, base.name, 100.0 * c.confidence, c.low, c.high)},
       {"band", fmt::format("{}: what is left of the card's {:.0f} %; it holds for flow like that "
                            "of the trial",
                            trial, 100.0 * base.viscosity_band)}});
}

void write_thermal(CardText& out, const Material& m) {
  out.table("thermal");
  out.quantity("density_melt", m.density_melt, D::density);
  out.quantity("conductivity", m.conductivity, D::conductivity);
  out.know("heat_capacity");
  out.raw("heat_capacity = [\n");
  for (std::size_t i = 0; i < m.heat_capacity.value.size(); ++i)
    out.raw(
        fmt::format("  [{}, {}],\n",
                    toml_string(format_quantity(m.heat_capacity.temperature[i], D::temperature)),
                    toml_string(format_quantity(m.heat_capacity.value[i], D::heat_capacity))));
  out.raw("]\n");
  out.quantity("ejection_temperature", m.ejection_temperature, D::temperature);
  if (m.no_flow_temperature > 0.0)
    out.quantity("no_flow_temperature", m.no_flow_temperature, D::temperature);
  out.sources();
}

void write_pvt(CardText& out, const TaitPvt& pvt) {
  out.table("pvt");
  out.quantity("transition_temperature", pvt.b5, D::temperature);
  out.quantity("transition_shift", pvt.b6, D::pressure_shift);
  out.quantity("melt_volume", pvt.b1m, D::specific_volume);
  out.quantity("melt_expansion", pvt.b2m, D::specific_expansion);
  out.quantity("melt_stiffness", pvt.b3m, D::pressure);
  out.quantity("melt_softening", pvt.b4m, D::per_temperature);
  out.quantity("solid_volume", pvt.b1s, D::specific_volume);
  out.quantity("solid_expansion", pvt.b2s, D::specific_expansion);
  out.quantity("solid_stiffness", pvt.b3s, D::pressure);
  out.quantity("solid_softening", pvt.b4s, D::per_temperature);
  out.sources();
}

void write_rest(CardText& out, const Material& m) {
  out.table("valid");
  out.interval("melt_temperature", m.melt_temperature_min, m.melt_temperature_max, D::temperature);
  out.interval("mould_temperature", m.mould_temperature_min, m.mould_temperature_max,
               D::temperature);
  out.sources();
  out.table("vents");
  out.interval("depth", m.vent_depth_min, m.vent_depth_max, D::length);
  out.sources();
  if (m.melt_flow_rate <= 0.0) return;
  out.table("melt_flow_rate");
  out.quantity("value", m.melt_flow_rate, D::melt_flow_rate);
  out.line("fitted", "false");
  out.sources();
}

}  // namespace

std::string calibrated_card(const Material& base, const CardCalibration& c) {
  CardText out(base);
  out.raw(
      fmt::format("# {} as {} trial shots showed it, {}. An estimate: it holds for this lot and "
                  "for flow like that of the trial.\n",
                  base.name, c.shots, c.date));
  out.line("name", toml_string(c.name));
  out.line("grade", toml_string(base.grade));
  write_viscosity(out, base, c);
  write_thermal(out, base);
  write_pvt(out, base.pvt);
  write_rest(out, base);
  return out.text();
}

}  // namespace firstshot
