#include "solver/assess/release_force.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solver/stage/hold_fields.hpp"

namespace firstshot {
namespace {

constexpr double pi = std::numbers::pi;
/// Of polystyrenes (from memory, unconfirmed).
constexpr double poisson = 0.38;
/// Band of stiffness and of friction (from memory, unconfirmed).
constexpr double band = 0.5;

double shear_strength(double strength) { return strength / std::numbers::sqrt3; }

/// Push along the draw per pressure on the cores [m²].
double sliding_area(const PartGrip& grip, double friction) {
  double sum = 0.0;
  for (std::size_t k = 0; k < grip.walls.size(); ++k)
    sum += grip.walls[k] * slide_share(friction, static_cast<double>(k));
  return sum;
}

double gates_carry(const Setup& setup, const std::string& part) {
  const Model& model = setup.model;
  double section = 0.0;
  for (std::size_t c = 0; c < model.channels.size(); ++c) {
    const Channel& channel = model.channels[c];
    if (channel.role != Role::gate || channel.feeds < 0) continue;
    if (model.regions[static_cast<std::size_t>(channel.feeds)].name != part) continue;
    double least = 0.0;
    for (const LineElement& line : model.lines.span()) {
      if (static_cast<std::size_t>(line.channel) != c) continue;
      const double here = std::min(area(line.start), area(line.end));
      least = least > 0.0 ? std::min(least, here) : here;
    }
    section += least;
  }
  return section * shear_strength(setup.release.strength);
}

const PartShrinkage* shrinkage_of(const HoldResult& hold, const std::string& part) {
  const auto it = std::find_if(hold.parts.begin(), hold.parts.end(),
                               [&](const PartShrinkage& p) { return p.part == part; });
  return it == hold.parts.end() ? nullptr : &*it;
}

}  // namespace

double grip_stiffness(double modulus, double ring) {
  return modulus / (1.0 + 2.0 * ring + poisson);  // (b² + a²)/(b² - a²) = 1 + 2 a²/(b² - a²)
}

double slide_share(double friction, double draft_deg) {
  const double draft = draft_deg * pi / 180.0;
  return std::max(0.0, friction * std::cos(draft) - std::sin(draft));
}

double pin_push(double strength, double diameter, double wall) {
  const double dent = strength * pi / 4.0 * diameter * diameter;
  return std::min(dent, shear_strength(strength) * pi * diameter * wall);
}

double strain_at_opening(const TaitPvt& pvt, double linear, double temperature) {
  // What is still melt then has not begun to shrink.
  const double T = std::min(temperature, transition_temperature(pvt, 0.0));
  return 1.0 - (1.0 - linear) * std::cbrt(specific_volume(pvt, T, 0.0) /
                                          specific_volume(pvt, room_temperature, 0.0));
}

void add_release_forces(const Setup& setup, const HoldResult& hold, const CycleResult& cycle,
                        EjectionFigures& figures) {
  const Release& r = setup.release;
  for (PartGrip& grip : figures.parts) {
    const PartShrinkage* shrunk = shrinkage_of(hold, grip.part);
    const auto cooled = std::find_if(cycle.parts.begin(), cycle.parts.end(),
                                     [&](const CooledPiece& p) { return p.name == grip.part; });
    if (!hold.held || shrunk == nullptr || cooled == cycle.parts.end()) continue;
    ReleaseForce& f = grip.release.emplace();
    f.strain = strain_at_opening(setup.material.pvt, shrunk->linear,
                                 0.5 * (cooled->mean_open_low + cooled->mean_open_high));
    const double pressure = grip_stiffness(r.modulus, grip.ring) * std::max(f.strain, 0.0);
    f.force = pressure * sliding_area(grip, r.friction);
    f.force_low = (1.0 - band) * pressure * sliding_area(grip, (1.0 - band) * r.friction);
    f.force_high = (1.0 + band) * pressure * sliding_area(grip, (1.0 + band) * r.friction);
    for (const PinPlace& pin : figures.pins)
      if (pin.stands_on == grip.part) f.pins_push += pin_push(r.strength, pin.diameter, pin.wall);
    f.gates_carry = gates_carry(setup, grip.part);
  }
}

}  // namespace firstshot
