#include "solver/assess/short_shots.hpp"

#include <algorithm>
#include <array>
#include <limits>

namespace firstshot {
namespace {

constexpr double gas_share = 0.5;     // of the melt's pressure, see header
constexpr double gate_solid = 0.9;    // of the gap
constexpr double front_solid = 0.5;   // of the gap
constexpr double nearly = 0.999;      // the press is at its limit
constexpr double least_filled = 0.1;  // for an estimate
constexpr double never = std::numeric_limits<double>::infinity();

struct CauseWords {
  ShortCause cause;
  const char *name, *words;
};
constexpr std::array<CauseWords, 6> causes{{
    {ShortCause::pressure, "pressure", "the pressure does not suffice"},
    {ShortCause::freezing, "freezing", "the melt is too slow and freezes"},
    {ShortCause::gate_frozen, "gate_frozen", "its gates freeze before it is full"},
    {ShortCause::air, "air", "caught air holds the melt back"},
    {ShortCause::time, "time", "the time limit was reached"},
    {ShortCause::interrupted, "interrupted", "the run was stopped"},
}};

const CauseWords& words_of(ShortCause cause) {
  for (const CauseWords& c : causes)
    if (c.cause == cause) return c;
  return causes.back();
}

/// What lies at the border between melt and the rest of a region.
struct Rest {
  Point centre;        ///< of the unfilled volume [m]
  double solid = 0.0;  ///< mean share of the gap of full nodes at the border [-]
  double melt = 0.0;   ///< highest pressure of melt at the border [Pa]
  double gas = 0.0;    ///< highest pressure of gas [Pa]
  double entry = 0.0;  ///< highest pressure of melt in the region [Pa]
};

Rest rest_of(const Model& model, const State& state, const NodeFields& fields,
             std::int32_t region) {
  Rest r;
  double missing = 0.0;
  int border = 0;
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const auto t = make_id<TriId>(i);
    if (model.mesh.region[t] != region) continue;
    const auto areas = lifted_corner_areas(model.mesh, t);
    bool any_rest = false;
    for (std::size_t c = 0; c < 3; ++c) {
      const VertexId v = model.mesh.triangles[t][c];
      const NodeId node = model.node_of_vertex[v];
      r.entry = std::max(r.entry, state.pressure[node]);
      const double empty = areas[c] * model.thickness[t] * (1.0 - state.fill[node]);
      if (state.fill[node] >= 1.0) continue;
      any_rest = true;
      missing += empty;
      r.centre.x += empty * model.mesh.points[v].x;
      r.centre.y += empty * model.mesh.points[v].y;
      if (fields.gas_pressure[node] > r.gas) r.gas = fields.gas_pressure[node];
    }
    if (!any_rest) continue;
    for (const VertexId v : model.mesh.triangles[t]) {
      const NodeId node = model.node_of_vertex[v];
      if (state.fill[node] < 1.0) continue;
      r.solid += fields.solid_share[node];
      r.melt = std::max(r.melt, state.pressure[node]);
      ++border;
    }
  }
  if (missing > 0.0) r.centre = {r.centre.x / missing, r.centre.y / missing};
  if (border > 0) r.solid /= border;
  return r;
}

/// Whether every gate that feeds the region is frozen somewhere; false without gates.
bool gates_frozen(const Model& model, const NodeFields& fields, std::int32_t region) {
  bool any = false;
  for (std::size_t c = 0; c < model.channels.size(); ++c) {
    if (model.channels[c].feeds != region || model.channels[c].role != Role::gate) continue;
    any = true;
    double solid = 0.0;
    for (const LineElement& e : model.lines.span())
      if (static_cast<std::size_t>(e.channel) == c)
        solid = std::max({solid, fields.solid_share[e.from], fields.solid_share[e.to]});
    if (solid < gate_solid) return false;
  }
  return any;
}

/// When the press first was at its pressure limit [s].
double limit_reached(const Process& process, const std::vector<HistoryEntry>& history) {
  if (process.constant_pressure > 0.0) return 0.0;
  const double limit = nearly * process.injection_pressure_max;
  if (!(limit > 0.0)) return never;
  for (const HistoryEntry& h : history)
    if (h.injection_pressure >= limit) return h.time;
  return never;
}

/// When half of the melt front has a solid core [s]: of the front in a region; where melt has not
/// come so far, of the fronts in channels.
double front_frozen(const Model& model, const State& state, std::int32_t region) {
  std::vector<double> since;
  const auto add = [&](NodeId node, bool beside_rest) {
    if (!beside_rest || state.fill[node] < 1.0) return;
    const double time = state.hold.freeze.empty() ? -1.0 : state.hold.freeze[node];
    since.push_back(time < 0.0 ? never : time);
  };
  const auto add_triangles = [&](const auto& wanted) {
    for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
      const auto t = make_id<TriId>(i);
      if (!wanted(model.mesh.region[t])) continue;
      bool any_rest = false;
      for (const VertexId v : model.mesh.triangles[t])
        any_rest = any_rest || state.fill[model.node_of_vertex[v]] < 1.0;
      for (const VertexId v : model.mesh.triangles[t]) add(model.node_of_vertex[v], any_rest);
    }
  };
  add_triangles([&](std::int32_t r) { return r == region; });
  if (since.empty()) {
    for (const LineElement& e : model.lines.span()) {
      add(e.from, state.fill[e.to] < 1.0);
      add(e.to, state.fill[e.from] < 1.0);
    }
    add_triangles([&](std::int32_t r) {
      return model.regions[static_cast<std::size_t>(r)].role != Role::part;
    });
  }
  if (since.empty()) return never;
  const auto middle = since.begin() + static_cast<std::ptrdiff_t>((since.size() - 1) / 2);
  std::nth_element(since.begin(), middle, since.end());
  return *middle;
}

/// The melt froze because it was slow: by the setting, or because the press could not do more.
ShortCause why_frozen(const Model& model, const State& state, double limit_reached,
                      std::int32_t region) {
  if (limit_reached == never) return ShortCause::freezing;
  return limit_reached <= front_frozen(model, state, region) ? ShortCause::pressure
                                                             : ShortCause::freezing;
}

/// The run as it ended.
struct End {
  const State& state;
  const NodeFields& fields;
  Outcome outcome;
  double limit_reached;  ///< [s]
};

ShortCause cause_of(const Model& model, const End& end, const Rest& rest, const UnfilledRegion& u) {
  if (end.outcome == Outcome::interrupted) return ShortCause::interrupted;
  if (rest.melt > 0.0 && rest.gas >= gas_share * rest.melt) return ShortCause::air;
  if (rest.solid > front_solid) return why_frozen(model, end.state, end.limit_reached, u.region);
  if (u.filled_fraction > 0.0 && gates_frozen(model, end.fields, u.region))
    return ShortCause::gate_frozen;
  if (end.outcome == Outcome::time_limit) return ShortCause::time;
  // Nothing came in: what stopped the melt on the way there.
  if (!(u.filled_fraction > 0.0) && end.outcome == Outcome::frozen)
    return why_frozen(model, end.state, end.limit_reached, u.region);
  return ShortCause::pressure;
}

}  // namespace

const char* short_cause_name(ShortCause cause) { return words_of(cause).name; }
const char* short_cause_words(ShortCause cause) { return words_of(cause).words; }

std::vector<ShortShot> short_shots(const Setup& setup, const State& state,
                                   const std::vector<HistoryEntry>& history, Outcome outcome,
                                   std::span<const UnfilledRegion> regions) {
  std::vector<ShortShot> out;
  if (regions.empty()) return out;
  const Model& model = setup.model;
  const NodeFields fields = node_fields(setup, state);
  const End end{state, fields, outcome, limit_reached(setup.process, history)};
  for (const UnfilledRegion& u : regions) {
    const Rest rest = rest_of(model, state, fields, u.region);
    ShortShot s;
    s.part = model.regions[static_cast<std::size_t>(u.region)].name;
    s.unfilled = u.volume * (1.0 - u.filled_fraction);
    s.at = rest.centre;
    s.cause = cause_of(model, end, rest, u);
    if (u.filled_fraction >= least_filled) {
      if (s.cause == ShortCause::pressure)
        s.pressure_needed = state.injection_pressure + rest.entry * (1.0 / u.filled_fraction - 1.0);
      if (s.cause == ShortCause::freezing || s.cause == ShortCause::gate_frozen)
        s.speed_needed = 1.0 / u.filled_fraction;
    }
    out.push_back(std::move(s));
  }
  return out;
}

}  // namespace firstshot
