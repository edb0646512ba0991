// Keys of cooling, mould, blend and cost: from the full cavity to the price of a frame.
#include "io/case_keys.hpp"
#include "solver/material/mould.hpp"

namespace firstshot {
namespace {

using D = Dimension;
using K = ValueKind;
constexpr Range kTemperature = {223.15, 573.15, false, false};  // -50 to 300 degC
constexpr Range kTime = {0.0, 3600.0, false, false};            // an hour is no shot
constexpr Range kSize = {1e-4, 1.0, false, false};              // of bores and plates [m]
constexpr Range kAmount = {0.0, 1e9, false, false};             // money, frames
constexpr Range kShare = {0.0, 1.0, false, false};

std::vector<KeySpec> material_part() {
  return {
      {.path = "material.detached_conductance",
       .dimension = D::conductance,
       .range = {0.0, 1e6, true, false},
       .default_value = "2000 W/(m2 K)",
       .help = "The same as contact_conductance once the plastic has shrunk away from the wall. "
               "Usual band 1000 to 5000 (from memory, unconfirmed)."},
      {.path = "material.ejection_friction",
       .kind = K::number,
       .range = {0.0, 2.0, true, false},
       .default_value = "0.4",
       .help = "Of the plastic on the mould when a part is pushed off its cores. Polished metal "
               "0.2 to 0.6 (from memory, unconfirmed)."},
      {.path = "material.ejection_modulus",
       .dimension = D::pressure,
       .range = {1e6, 1e11, true, false},
       .default_value = "1.5 GPa",
       .help = "Modulus of elasticity of the plastic as it is ejected: how hard it holds on to "
               "cores. Polystyrenes 1 to 2.5 GPa (from memory, unconfirmed)."},
      {.path = "material.ejection_strength",
       .dimension = D::pressure,
       .range = {1e5, 1e9, true, false},
       .default_value = "15 MPa",
       .help = "Stress at which the plastic yields as it is ejected: what an ejector pin can push "
               "before it dents the part. High-impact polystyrene 10 to 20 MPa below 80 degC "
               "(from memory, unconfirmed)."},
      {.path = "material.regrind_colour",
       .kind = K::word,
       .default_value = "same",
       .words = {"same", "natural", "other"},
       .help = "Colour of the regrind: that of the blend, none, or another one."},
  };
}

std::vector<KeySpec> press_part() {
  const std::string note = "the card's value; without a card:";
  return {
      {.path = "press.dry_cycle",
       .dimension = D::time,
       .range = kTime,
       .default_value = "2 s",
       .default_note = note,
       .help = "Time of the press for closing and opening without plastic."},
      {.path = "press.plasticising_rate",
       .dimension = D::mass_rate,
       .range = {1e-6, 10.0, false, false},
       .default_value = "10 g/s",
       .default_note = note,
       .help = "Mass that the screw melts in a time; for polystyrene."},
      {.path = "press.barrel_volume",
       .dimension = D::volume,
       .range = {0.0, 1.0, true, false},
       .default_note = "twice the largest shot (common practice, no source)",
       .help = "Melt along the screw; it says how long melt stays hot."},
  };
}

std::vector<KeySpec> process_part() {
  const std::string criterion_help =
      "\"core\": the hottest layer counts; \"mean\": the mean over the section.";
  return {
      {.path = "process.ejection_criterion",
       .kind = K::word,
       .default_value = "core",
       .words = {"core", "mean"},
       .help = "What must be cold enough before a part may be ejected. " + criterion_help},
      {.path = "process.ejection_temperature",
       .dimension = D::temperature,
       .range = kTemperature,
       .default_note = "the material card's",
       .help = "A part may be ejected below it. It must lie between mould and melt temperature."},
      {.path = "process.runner_ejection_criterion",
       .kind = K::word,
       .default_value = "core",
       .words = {"core", "mean"},
       .help = "The same for runners, gates and sprue, which often decide the cycle. " +
               criterion_help},
      {.path = "process.runner_ejection_temperature",
       .dimension = D::temperature,
       .range = kTemperature,
       .default_note = "the material card's",
       .help = "Runners, gates and sprue may be ejected below it. It must lie between mould and "
               "melt temperature."},
      {.path = "process.cooling_time",
       .dimension = D::time,
       .range = kTime,
       .default_note = "\"auto\"",
       .words = {"auto"},
       .help = "From the end of holding until the mould opens. \"auto\": until everything may be "
               "ejected and the screw is ready."},
      {.path = "process.eject_time",
       .dimension = D::time,
       .range = kTime,
       .default_value = "1 s",
       .help = "From the open mould until it may close again: pushing out, taking the frame away. "
               "The default is common practice, no source."},
  };
}

std::vector<KeySpec> channel_keys(const std::string& table, const std::string& help) {
  return {
      {.path = table, .kind = K::table, .default_note = "none", .help = help},
      {.path = table + ".diameter",
       .dimension = D::length,
       .range = kSize,
       .required = true,
       .help = "Diameter of the bores."},
      {.path = table + ".pitch",
       .dimension = D::length,
       .range = kSize,
       .required = true,
       .help = "From the middle of one bore to that of the next; more than the diameter."},
      {.path = table + ".depth",
       .dimension = D::length,
       .range = kSize,
       .required = true,
       .help = "From the moulding face to the middle of the bores; more than half the diameter."},
      {.path = table + ".coolant_temperature",
       .dimension = D::temperature,
       .range = {278.15, 368.15, false, false},
       .required = true,
       .help = "Of the water where it enters the mould: 5 to 95 degC, colder freezes and hotter "
               "boils."},
      {.path = table + ".flow",
       .dimension = D::flow_rate,
       .range = {0.0, 0.1, true, false},
       .required = true,
       .help = "Of the water through the half; all its bores lie in one circuit."},
  };
}

}  // namespace

std::vector<KeySpec> cycle_keys_of(std::string_view table) {
  if (table == "material") return material_part();
  if (table == "press") return press_part();
  return process_part();
}

std::vector<KeySpec> closed_keys() {
  return {
      {.path = "closed",
       .kind = K::tables,
       .help =
           "What is shut for a trial, as with a plug in a gate or a cover on a cavity: the run "
           "goes without it. Names of a solid's parts and gates are those that `check` prints."},
      {.path = "closed[].gate", .kind = K::text, .help = "Name of a gate that is plugged."},
      {.path = "closed[].part",
       .kind = K::text,
       .help = "Name of a part that is blocked off, with its gates."},
  };
}

std::vector<KeySpec> mould_keys() {
  std::vector<std::string> metals;
  for (const MouldMetal& m : mould_metals()) metals.push_back(m.name);
  std::vector<KeySpec> keys = {
      {.path = "mould",
       .kind = K::table,
       .help = "The mould as a body that carries the heat away."},
      {.path = "mould.metal",
       .kind = K::word,
       .default_value = "aluminium-7075",
       .words = metals,
       .help = "What both halves are made of. \"steel\" is pre-hardened mould steel."},
      {.path = "mould.plate_thickness",
       .dimension = D::length,
       .range = {1e-3, 2.0, false, false},
       .default_value = "40 mm",
       .help = "Of each half; it says how long the mould takes to warm up."},
      {.path = "mould.margin",
       .dimension = D::length,
       .range = {0.0, 2.0, false, false},
       .default_value = "30 mm",
       .help = "By which the plates reach beyond the frame on each side; for warming up."},
  };
  for (auto part :
       {channel_keys("mould.channel",
                     "Bores for cooling water in each half. With them the temperature of the "
                     "moulding face follows from heat and cycle; without, it is "
                     "process.mould_temperature."),
        channel_keys("mould.moving_channel",
                     "Bores of the half that opens, where they differ from mould.channel.")})
    keys.insert(keys.end(), part.begin(), part.end());
  return keys;
}

std::vector<KeySpec> cost_keys() {
  const auto amount = [](const char* name, const char* help) {
    return KeySpec{.path = std::string("cost.") + name,
                   .kind = K::number,
                   .range = kAmount,
                   .default_value = "0",
                   .help = help};
  };
  std::vector<KeySpec> keys = {
      {.path = "cost",
       .kind = K::table,
       .default_note = "none: no cost is reckoned",
       .help = "Prices and rates of the shop, in a currency of its own, for the price of a frame."},
      {.path = "cost.currency",
       .kind = K::text,
       .default_value = "EUR",
       .help = "Name of the currency; it is only repeated."},
      amount("material_per_kg", "Price of fresh material."),
      amount("masterbatch_per_kg", "Price of colour concentrate."),
      amount("grinding_per_kg", "Cost of grinding runners up; regrind costs no more than that."),
      amount(
          "drying_per_kg",
          "Cost of drying what goes into the hopper; polystyrene normally needs none, 2 to 3 h at "
          "80 degC when it was stored wet (processing notes of a trade supplier)."),
      amount("machine_per_hour", "Rate of the press, with its energy and room."),
      amount("labour_per_hour", "Rate of a person."),
      {.path = "cost.attendance",
       .dimension = D::ratio,
       .range = {0.0, 10.0},
       .default_value = "100 %",
       .help = "Share of a person's time that the press takes."},
      {.path = "cost.scrap",
       .dimension = D::ratio,
       .range = {0.0, 0.99},
       .default_value = "2 %",
       .help = "Share of shots that are no good (common practice, no source)."},
      amount("mould", "Price of the mould."),
      amount("frames", "Number of frames over which the mould is spread."),
      amount("frame_price", "What a frame is sold for; with it the break-even is told."),
      amount("return_days", "Days lost when the mould comes back for a change."),
      amount("return_per_day", "What such a day costs."),
      amount("return_work", "Cost of the change itself."),
      {.path = "cost.return_share",
       .dimension = D::ratio,
       .range = kShare,
       .default_value = "5 %",
       .help = "Share of moulds that come back (one in twenty: common practice, no source)."},
  };
  return keys;
}

}  // namespace firstshot
