#include "io/press_card.hpp"

#include <string>
#include <vector>

#include "io/card_source.hpp"

namespace firstshot {

Press read_press_card(const TomlFile& file) {
  using D = Dimension;
  TableReader card(file);
  std::vector<std::string> keys;
  const auto quantity = [&](const std::string& key, D dim, const Range& range) {
    keys.push_back(key);
    return card.quantity(key, dim, range);
  };
  Press press;
  press.name = card.text("name");
  press.screw_diameter = quantity("screw_diameter", D::length, between(5e-3, 0.5));
  press.stroke_max = quantity("stroke_max", D::length, between(1e-3, 5.0));
  press.speed_max = quantity("speed_max", D::speed, between(1e-4, 5.0));
  press.melt_pressure_max = quantity("melt_pressure_max", D::pressure, between(1e5, 1e9));
  press.intensification = card.number("intensification", between(1.0, 100.0));
  keys.emplace_back("intensification");
  press.clamp_force = quantity("clamp_force", D::force, between(100.0, 1e9));
  press.nozzle_volume = quantity("nozzle_volume", D::volume, between(0.0, 1e-2));
  press.dry_cycle = quantity("dry_cycle", D::time, between(0.0, 1e3));
  press.plasticising_rate = quantity("plasticising_rate", D::mass_rate, between(1e-6, 10.0));
  read_sources(file, card, keys);
  card.finish();
  return press;
}

Press read_press_card(const std::filesystem::path& path) {
  return read_press_card(TomlFile::read(path));
}

}  // namespace firstshot
