#include "io/case_cycle.hpp"

#include <fmt/format.h>

#include "io/case_table.hpp"
#include "io/toml_text.hpp"
#include "io/units.hpp"

namespace firstshot {
namespace {

using D = Dimension;

EjectionCriterion criterion_from(const std::string& name) {
  return name == "mean" ? EjectionCriterion::mean : EjectionCriterion::core;
}
const char* criterion_name(EjectionCriterion c) {
  return c == EjectionCriterion::mean ? "mean" : "core";
}

MouldChannels read_channels(const CaseTable& table) {
  MouldChannels bores;
  bores.diameter = table.quantity("diameter");
  bores.pitch = table.quantity("pitch");
  bores.depth = table.quantity("depth");
  bores.temperature = table.quantity("coolant_temperature");
  bores.flow_rate = table.quantity("flow");
  if (!(bores.pitch > bores.diameter))
    throw table.error("pitch", "the bores run into each other; allowed: more than the diameter");
  if (!(bores.depth > 0.5 * bores.diameter))
    throw table.error("depth",
                      "the bores break through the moulding face; allowed: more than half the "
                      "diameter");
  return bores;
}

std::string line(const char* key, double value, D dim) {
  return fmt::format("{} = \"{}\"\n", key, format_quantity(value, dim));
}

std::string channel_lines(const char* table, const MouldChannels& bores) {
  return fmt::format("\n[mould.{}]\n", table) + line("diameter", bores.diameter, D::length) +
         line("pitch", bores.pitch, D::length) + line("depth", bores.depth, D::length) +
         line("coolant_temperature", bores.temperature, D::temperature) +
         line("flow", bores.flow_rate, D::flow_rate);
}

}  // namespace

ShutOff read_case_closed(const CaseTable& root) {
  ShutOff shut;
  for (const CaseTable& table : root.tables("closed")) {
    if (const auto gate = table.text_if("gate")) shut.gates.push_back(*gate);
    if (const auto part = table.text_if("part")) shut.parts.push_back(*part);
  }
  return shut;
}

CaseCooling read_case_cooling(const CaseTable& root) {
  CaseCooling c;
  c.detached_conductance = root.table("material").quantity("detached_conductance");
  const CaseTable material = root.table("material");
  c.release = {material.number("ejection_friction"), material.quantity("ejection_modulus"),
               material.quantity("ejection_strength")};
  const CaseTable process = root.table("process");
  c.part_criterion = criterion_from(process.word("ejection_criterion"));
  c.runner_criterion = criterion_from(process.word("runner_ejection_criterion"));
  c.part_temperature = process.quantity_if("ejection_temperature");
  c.runner_temperature = process.quantity_if("runner_ejection_temperature");
  c.time = process.quantity_if("cooling_time");
  c.eject_time = process.quantity("eject_time");
  return c;
}

Mould read_case_mould(const CaseTable& root) {
  const CaseTable table = root.table("mould");
  Mould mould;
  mould.metal = *find_mould_metal(table.word("metal"));
  mould.plate_thickness = table.quantity("plate_thickness");
  mould.margin = table.quantity("margin");
  if (table.has("channel")) mould.fixed = mould.moving = read_channels(table.table("channel"));
  if (!table.has("moving_channel")) return mould;
  if (!mould.fixed)
    throw table.error("moving_channel",
                      "only one half has cooling channels; allowed: mould.channel for both "
                      "halves, and mould.moving_channel where the moving half differs");
  mould.moving = read_channels(table.table("moving_channel"));
  return mould;
}

std::optional<CostRates> read_case_cost(const CaseTable& root) {
  if (!root.has("cost")) return std::nullopt;
  const CaseTable t = root.table("cost");
  CostRates r;
  r.currency = t.text("currency");
  r.material = t.number("material_per_kg");
  r.masterbatch = t.number("masterbatch_per_kg");
  r.regrind = t.number("grinding_per_kg");
  r.drying = t.number("drying_per_kg");
  r.machine = t.number("machine_per_hour");
  r.labour = t.number("labour_per_hour");
  r.attendance = t.quantity("attendance");
  r.scrap = t.quantity("scrap");
  r.mould = t.number("mould");
  r.volume = t.number("frames");
  r.sale = t.number("frame_price");
  r.return_days = t.number("return_days");
  r.return_day = t.number("return_per_day");
  r.return_work = t.number("return_work");
  r.return_share = t.quantity("return_share");
  return r;
}

RegrindColour regrind_colour_from(const std::string& name) {
  if (name == "natural") return RegrindColour::natural;
  return name == "other" ? RegrindColour::other : RegrindColour::same;
}

std::string regrind_colour_name(RegrindColour colour) {
  switch (colour) {
    case RegrindColour::same:
      return "same";
    case RegrindColour::natural:
      return "natural";
    case RegrindColour::other:
      return "other";
  }
  return {};
}

std::string detached_conductance_line(const CaseCooling& cooling) {
  return line("detached_conductance", cooling.detached_conductance, D::conductance);
}

std::string release_lines(const Release& release) {
  return fmt::format("ejection_friction = {}\n", toml_number(release.friction)) +
         line("ejection_modulus", release.modulus, D::pressure) +
         line("ejection_strength", release.strength, D::pressure);
}

std::string process_cooling_lines(const CaseCooling& c) {
  std::string text =
      fmt::format("ejection_criterion = \"{}\"\nrunner_ejection_criterion = \"{}\"\n",
                  criterion_name(c.part_criterion), criterion_name(c.runner_criterion));
  if (c.part_temperature) text += line("ejection_temperature", *c.part_temperature, D::temperature);
  if (c.runner_temperature)
    text += line("runner_ejection_temperature", *c.runner_temperature, D::temperature);
  return text + (c.time ? line("cooling_time", *c.time, D::time) : "cooling_time = \"auto\"\n") +
         line("eject_time", c.eject_time, D::time);
}

std::string closed_lines(const ShutOff& shut) {
  std::string text;
  for (const std::string& gate : shut.gates)
    text += fmt::format("\n[[closed]]\ngate = {}\n", toml_string(gate));
  for (const std::string& part : shut.parts)
    text += fmt::format("\n[[closed]]\npart = {}\n", toml_string(part));
  return text;
}

std::string mould_lines(const Mould& mould) {
  std::string text = fmt::format("\n[mould]\nmetal = \"{}\"\n", mould.metal.name) +
                     line("plate_thickness", mould.plate_thickness, D::length) +
                     line("margin", mould.margin, D::length);
  if (mould.fixed) text += channel_lines("channel", *mould.fixed);
  if (mould.moving && mould.moving != mould.fixed)
    text += channel_lines("moving_channel", *mould.moving);
  return text;
}

std::string cost_lines(const CostRates& r) {
  const auto number = [](const char* key, double value) {
    return fmt::format("{} = {}\n", key, toml_number(value));
  };
  return fmt::format("\n[cost]\ncurrency = {}\n", toml_string(r.currency)) +
         number("material_per_kg", r.material) + number("masterbatch_per_kg", r.masterbatch) +
         number("grinding_per_kg", r.regrind) + number("drying_per_kg", r.drying) +
         number("machine_per_hour", r.machine) + number("labour_per_hour", r.labour) +
         line("attendance", r.attendance, D::ratio) + line("scrap", r.scrap, D::ratio) +
         number("mould", r.mould) + number("frames", r.volume) + number("frame_price", r.sale) +
         number("return_days", r.return_days) + number("return_per_day", r.return_day) +
         number("return_work", r.return_work) + line("return_share", r.return_share, D::ratio);
}

}  // namespace firstshot
