#include "io/material_card.hpp"

#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "io/card_source.hpp"

namespace firstshot {
namespace {

using D = Dimension;
constexpr Range between_zero_and_one = {0.0, 1.0, true, true};
constexpr Range absolute_temperature = {0.0, 2000.0, true, false};  // no melt is moulded beyond [K]
// A melt that can be moulded; beyond, a number of the card is a slip of the pen [Pa s].
constexpr Range melt_viscosity = {1e-3, 1e7};
constexpr double test_shear_rate = 100.0;  // where it is looked at, that of slow moulding [1/s]

// A table of the card that notes which numbers it was asked for, so that each must have a source.
class CardTable {
 public:
  CardTable(const TomlFile& file, TableReader reader) : file_(file), reader_(std::move(reader)) {}
  double number(const std::string& key, D dim, const Range& range) {
    keys_.push_back(key);
    return reader_.quantity(key, dim, range);
  }
  double plain(const std::string& key, const Range& range) {
    keys_.push_back(key);
    return reader_.number(key, range);
  }
  std::pair<double, double> interval(const std::string& key, D dim, const Range& range) {
    keys_.push_back(key);
    const auto bounds = reader_.interval(key, dim, range);
    if (!(bounds.first < bounds.second))
      throw reader_.error(key, "the lower bound comes first and must be below the upper one");
    return bounds;
  }
  std::vector<std::pair<double, double>> pairs(const std::string& key, D first, D second) {
    keys_.push_back(key);
    return reader_.quantity_pairs(key, first, second);
  }
  // All numbers were read: collects the sources and refuses other keys.
  void finish(std::vector<Material::Source>& sources) {
    for (Material::Source& source : read_sources(file_, reader_, keys_))
      sources.push_back(std::move(source));
    reader_.finish();
  }
  TableReader& reader() { return reader_; }

 private:
  const TomlFile& file_;
  TableReader reader_;
  std::vector<std::string> keys_;
};

CrossWlf read_cross_wlf(CardTable& table) {
  CrossWlf law;
  law.n = table.plain("slope", between_zero_and_one);
  law.tau_star = table.number("stress_at_thinning", D::pressure, positive());
  law.D1 = table.number("reference_viscosity", D::viscosity, positive());
  law.D2 = table.number("reference_temperature", D::temperature, absolute_temperature);
  law.D3 = table.number("pressure_shift", D::pressure_shift, at_least(0.0));
  law.A1 = table.plain("temperature_steepness", positive());
  law.A2 = table.number("temperature_offset", D::temperature_difference, positive());
  return law;
}

CrossExponential read_cross_exponential(CardTable& table) {
  CrossExponential law;
  law.n = table.plain("slope", between_zero_and_one);
  law.tau_star = table.number("stress_at_thinning", D::pressure, positive());
  law.B = table.number("reference_viscosity", D::viscosity, positive());
  law.Tb = table.number("activation_temperature", D::temperature_difference, positive());
  law.beta = table.number("pressure_coefficient", D::per_pressure, at_least(0.0));
  return law;
}

Newtonian read_newtonian(CardTable& table) {
  Newtonian law;
  law.eta_ref = table.number("reference_viscosity", D::viscosity, positive());
  law.T_ref = table.number("reference_temperature", D::temperature, absolute_temperature);
  law.b = table.number("temperature_coefficient", D::per_temperature, between(0.0, 1.0));
  return law;
}

PowerLaw read_power_law(CardTable& table) {
  PowerLaw law;
  law.n = table.plain("slope", {0.0, 1.0, true, false});
  // τ = K γ̇^n: K in Pa s^n is, as a number, the viscosity at 1/s.
  law.K = table.number("viscosity_at_unit_rate", D::viscosity, positive());
  law.T_ref = table.number("reference_temperature", D::temperature, absolute_temperature);
  law.b = table.number("temperature_coefficient", D::per_temperature, between(0.0, 1.0));
  return law;
}

ViscosityLaw read_law(CardTable& table) {
  const std::string law =
      table.reader().word("law", {"cross_wlf", "cross_exponential", "newtonian", "power_law"});
  if (law == "cross_wlf") return read_cross_wlf(table);
  if (law == "cross_exponential") return read_cross_exponential(table);
  if (law == "newtonian") return read_newtonian(table);
  return read_power_law(table);
}

void read_viscosity(const TomlFile& file, TableReader& root, Material& material) {
  CardTable table(file, root.table("viscosity"));
  material.viscosity = read_law(table);
  material.viscosity_band = table.number("band", D::ratio, between(0.0, 1.0));
  table.finish(material.sources);
}

HeatCapacity read_heat_capacity(CardTable& table) {
  HeatCapacity result;
  for (const auto& [T, cp] : table.pairs("heat_capacity", D::temperature, D::heat_capacity)) {
    if (!result.temperature.empty() && !(T > result.temperature.back()))
      throw table.reader().error("heat_capacity", "the temperatures must rise from pair to pair");
    if (!(cp > 0.0) || !(T > 0.0))
      throw table.reader().error("heat_capacity",
                                 "a heat capacity and its temperature in K must be above 0");
    result.temperature.push_back(T);
    result.value.push_back(cp);
  }
  if (result.value.empty())
    throw table.reader().error("heat_capacity", "the list is empty; at least one pair is needed");
  return result;
}

void read_thermal(const TomlFile& file, TableReader& root, Material& material) {
  CardTable table(file, root.table("thermal"));
  material.density_melt = table.number("density_melt", D::density, between(100.0, 1e4));
  material.conductivity = table.number("conductivity", D::conductivity, between(1e-3, 100.0));
  material.heat_capacity = read_heat_capacity(table);
  material.ejection_temperature =
      table.number("ejection_temperature", D::temperature, absolute_temperature);
  material.no_flow_temperature =
      table.reader().has("no_flow_temperature")
          ? table.number("no_flow_temperature", D::temperature, absolute_temperature)
          : temperature_at_viscosity(material.viscosity, no_flow_viscosity);
  table.reader().node("no_flow_temperature");  // known even when it is not there
  table.finish(material.sources);
}

void read_pvt(const TomlFile& file, TableReader& root, Material& material) {
  CardTable table(file, root.table("pvt"));
  TaitPvt& pvt = material.pvt;
  constexpr Range volume = {1e-5, 1e-2};  // densities from 100 to 100 000 kg/m³
  constexpr Range expansion = {0.0, 1e-4};
  constexpr Range stiffness = {1e6, 1e11};
  constexpr Range softening = {0.0, 0.1};
  pvt.b5 = table.number("transition_temperature", D::temperature, absolute_temperature);
  pvt.b6 = table.number("transition_shift", D::pressure_shift, between(0.0, 1e-5));
  pvt.b1m = table.number("melt_volume", D::specific_volume, volume);
  pvt.b2m = table.number("melt_expansion", D::specific_expansion, expansion);
  pvt.b3m = table.number("melt_stiffness", D::pressure, stiffness);
  pvt.b4m = table.number("melt_softening", D::per_temperature, softening);
  pvt.b1s = table.number("solid_volume", D::specific_volume, volume);
  pvt.b2s = table.number("solid_expansion", D::specific_expansion, expansion);
  pvt.b3s = table.number("solid_stiffness", D::pressure, stiffness);
  pvt.b4s = table.number("solid_softening", D::per_temperature, softening);
  table.finish(material.sources);
}

void read_valid(const TomlFile& file, TableReader& root, Material& m) {
  CardTable table(file, root.table("valid"));
  std::tie(m.melt_temperature_min, m.melt_temperature_max) =
      table.interval("melt_temperature", D::temperature, absolute_temperature);
  std::tie(m.mould_temperature_min, m.mould_temperature_max) =
      table.interval("mould_temperature", D::temperature, absolute_temperature);
  const auto refuse = [&](const std::string& what) {
    throw table.reader().error("melt_temperature", what);
  };
  if (m.melt_temperature_min <= m.no_flow_temperature)
    refuse(fmt::format("the range must begin above the no-flow temperature of {:.1f} degC",
                       m.no_flow_temperature - 273.15));
  if (m.melt_temperature_min <= m.ejection_temperature)
    refuse("the range must begin above the ejection temperature");
  for (const double T : {m.melt_temperature_min, m.melt_temperature_max}) {
    const double eta = viscosity(m.viscosity, test_shear_rate, T, 0.0);
    if (!melt_viscosity.contains(eta))
      refuse(fmt::format("at {:.1f} degC and {:g} 1/s the law gives {:.3g} Pa s; allowed: {}",
                         T - 273.15, test_shear_rate, eta,
                         range_text(melt_viscosity, D::viscosity)));
  }
  table.finish(m.sources);
}

void read_vents(const TomlFile& file, TableReader& root, Material& material) {
  auto reader = root.table_if("vents");
  if (!reader) return;
  CardTable table(file, *reader);
  std::tie(material.vent_depth_min, material.vent_depth_max) =
      table.interval("depth", D::length, {1e-6, 1e-3});
  table.finish(material.sources);
}

void read_melt_flow_rate(const TomlFile& file, TableReader& root, Material& material) {
  auto reader = root.table_if("melt_flow_rate");
  if (!reader) return;
  CardTable table(file, *reader);
  material.melt_flow_rate = table.number("value", D::melt_flow_rate, between(1e-3, 1e4));
  material.fitted_to_melt_flow_rate = table.reader().flag_or("fitted", false);
  table.finish(material.sources);
}

}  // namespace

Material read_material_card(const TomlFile& file) {
  TableReader root(file);
  Material material;
  material.name = root.text("name");
  material.grade = root.text("grade");
  read_viscosity(file, root, material);
  read_thermal(file, root, material);
  read_pvt(file, root, material);
  read_valid(file, root, material);
  read_vents(file, root, material);
  read_melt_flow_rate(file, root, material);
  root.finish();
  return material;
}

Material read_material_card(const std::filesystem::path& path) {
  return read_material_card(TomlFile::read(path));
}

}  // namespace firstshot
