#include "io/result_fronts.hpp"

#include <limits>
#include <string>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

const std::string welds = "/result/weld_lines/", pockets_group = "/result/air_pockets/",
                  scorch_group = "/result/scorch/";
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

[[noreturn]] void reject(const H5File& file, const std::string& what) {
  throw Error("\"" + file.path().string() + "\" is damaged or not a result: " + what);
}

/// A column of the file, made of one member of each entry.
template <class Entries, class Get>
auto column(const Entries& entries, Get&& get) {
  std::vector<std::decay_t<decltype(get(*std::begin(entries)))>> out;
  out.reserve(entries.size());
  for (const auto& entry : entries) out.push_back(get(entry));
  return out;
}

/// Calls f(name, unit, member) for each number of a pocket that is stored as it is.
template <class F>
void for_each_number(F&& f) {
  using P = AirPocketResult;
  f("closed", "s", &P::closed);
  f("closed_volume", "m3", &P::closed_volume);
  f("volume", "m3", &P::volume);
  f("void", "m3", &P::hollow);
  f("pressure", "Pa", &P::pressure);
  f("peak_pressure", "Pa", &P::peak_pressure);
  f("peak_temperature", "K", &P::peak_temperature);
  f("isothermal_temperature", "K", &P::isothermal_temperature);
  f("adiabatic_temperature", "K", &P::adiabatic_temperature);
  f("hot_time", "s", &P::hot_time);
}

template <class F>
void for_each_flag(F&& f) {
  using P = AirPocketResult;
  f("vented", &P::vented);
  f("trapped", &P::trapped);
  f("may_scorch", &P::may_scorch);
}

/// Numbers of a proposal; NaN in the file where there is none.
template <class F>
void for_each_proposed(F&& f) {
  using V = VentProposal;
  f("vent_distance", &V::distance);
  f("vent_width", &V::width);
  f("vent_depth", &V::depth);
  f("vent_land", &V::land);
}

std::vector<double> points_of(const std::vector<AirPocketResult>& pockets, bool of_vents) {
  std::vector<double> at;
  for (const AirPocketResult& p : pockets) {
    const Point place = of_vents ? (p.proposal ? p.proposal->at : Point{nan, nan}) : p.at;
    at.insert(at.end(), {place.x, place.y});
  }
  return at;
}

/// 0: no proposal; 1: a vent at an edge; 2: at a runner's end; 3: no vent reaches it.
std::int32_t proposal_kind(const AirPocketResult& p) {
  if (!p.proposal) return 0;
  if (!p.proposal->reaches) return 3;
  return p.proposal->runner_end ? 2 : 1;
}

}  // namespace

void write_weld_lines(H5File& file, const std::vector<WeldLine>& lines) {
  std::vector<std::int32_t> first;
  std::vector<double> at;
  std::vector<MeetingPoint> points;
  for (const WeldLine& line : lines) {
    first.push_back(static_cast<std::int32_t>(points.size()));
    points.insert(points.end(), line.points.begin(), line.points.end());
  }
  for (const MeetingPoint& m : points) at.insert(at.end(), {m.at.x, m.at.y});
  file.write_texts(welds + "part", column(lines, [](const WeldLine& l) { return l.part; }));
  file.write_texts(welds + "kind", column(lines, [](const WeldLine& l) {
                     return std::string(l.kind == MeetingKind::weld ? "weld" : "meld");
                   }));
  file.write(welds + "visible",
             column(lines, [](const WeldLine& l) { return std::int32_t{l.visible}; }), "1");
  file.write(welds + "in_channel",
             column(lines, [](const WeldLine& l) { return std::int32_t{l.in_channel}; }), "1");
  file.write(welds + "first_point", first, "1");
  file.write(welds + "point", at, "m", 2);
  file.write(welds + "angle", column(points, [](const MeetingPoint& m) { return m.angle_deg; }),
             "deg");
  file.write(welds + "temperature",
             column(points, [](const MeetingPoint& m) { return m.temperature; }), "K");
  file.write(welds + "pressure", column(points, [](const MeetingPoint& m) { return m.pressure; }),
             "Pa");
  file.write(welds + "time", column(points, [](const MeetingPoint& m) { return m.time; }), "s");
}

std::vector<WeldLine> read_weld_lines(const H5File& file) {
  const std::vector<std::string> part = file.read_texts(welds + "part");
  const std::size_t n = part.size();
  const auto kind = file.read_texts(welds + "kind", n);
  const auto visible = file.read_int32(welds + "visible", 1, n);
  const auto in_channel = file.read_int32(welds + "in_channel", 1, n);
  const auto first = file.read_int32(welds + "first_point", 1, n);
  const auto at = file.read(welds + "point", 2);
  const std::size_t n_points = at.size() / 2;
  const auto angle = file.read(welds + "angle", 1, n_points);
  const auto temperature = file.read(welds + "temperature", 1, n_points);
  const auto pressure = file.read(welds + "pressure", 1, n_points);
  const auto time = file.read(welds + "time", 1, n_points);
  std::vector<WeldLine> lines;
  for (std::size_t k = 0; k < n; ++k) {
    const auto begin = first[k];
    const auto end = k + 1 < n ? first[k + 1] : static_cast<std::int32_t>(n_points);
    if (begin < 0 || end <= begin || static_cast<std::size_t>(end) > n_points)
      reject(file, welds + "first_point points outside its list");
    if (kind[k] != "weld" && kind[k] != "meld") reject(file, welds + "kind is unknown");
    WeldLine line;
    for (auto i = static_cast<std::size_t>(begin); i < static_cast<std::size_t>(end); ++i)
      line.points.push_back(
          {{at[2 * i], at[2 * i + 1]}, angle[i], temperature[i], pressure[i], time[i]});
    measure(line);
    line.part = part[k];
    line.kind = kind[k] == "weld" ? MeetingKind::weld : MeetingKind::meld;
    line.visible = visible[k] != 0;
    line.in_channel = in_channel[k] != 0;
    lines.push_back(std::move(line));
  }
  return lines;
}

void write_air_pockets(H5File& file, const std::vector<AirPocketResult>& pockets) {
  using P = AirPocketResult;
  const std::string& group = pockets_group;
  file.write(group + "number", column(pockets, [](const P& p) { return std::int32_t{p.number}; }),
             "1");
  file.write_texts(group + "part", column(pockets, [](const P& p) { return p.part; }));
  file.write(group + "point", points_of(pockets, false), "m", 2);
  for_each_number([&](const char* name, const char* unit, double P::*member) {
    file.write(group + name, column(pockets, [&](const P& p) { return p.*member; }), unit);
  });
  for_each_flag([&](const char* name, bool P::*member) {
    file.write(group + name, column(pockets, [&](const P& p) { return std::int32_t{p.*member}; }),
               "1");
  });
  file.write(group + "proposal", column(pockets, proposal_kind), "1");
  file.write(group + "vent_point", points_of(pockets, true), "m", 2);
  for_each_proposed([&](const char* name, double VentProposal::*member) {
    file.write(
        group + name,
        column(pockets, [&](const P& p) { return p.proposal ? (*p.proposal).*member : nan; }), "m");
  });
  file.write_texts(group + "proposal_text", column(pockets, [](const P& p) {
                     return p.proposal ? p.proposal->text : std::string();
                   }));
}

std::vector<AirPocketResult> read_air_pockets(const H5File& file) {
  using P = AirPocketResult;
  const std::string& group = pockets_group;
  if (!file.has("/result/air_pockets")) return {};
  const std::vector<std::int32_t> numbers = file.read_int32(group + "number");
  const std::size_t n = numbers.size();
  std::vector<P> pockets(n);
  const auto parts = file.read_texts(group + "part", n);
  const auto at = file.read(group + "point", 2, n);
  const auto kind = file.read_int32(group + "proposal", 1, n);
  const auto vent_at = file.read(group + "vent_point", 2, n);
  const auto text = file.read_texts(group + "proposal_text", n);
  for (std::size_t i = 0; i < n; ++i) {
    P& p = pockets[i];
    p.number = numbers[i];
    p.part = parts[i];
    p.at = {at[2 * i], at[2 * i + 1]};
    if (kind[i] < 0 || kind[i] > 3) reject(file, group + "proposal is unknown");
    if (kind[i] == 0) continue;
    p.proposal.emplace();
    p.proposal->reaches = kind[i] != 3;
    p.proposal->runner_end = kind[i] == 2;
    p.proposal->at = {vent_at[2 * i], vent_at[2 * i + 1]};
    p.proposal->text = text[i];
  }
  for_each_number([&](const char* name, const char*, double P::*member) {
    const auto values = file.read(group + name, 1, n);
    for (std::size_t i = 0; i < n; ++i) pockets[i].*member = values[i];
  });
  for_each_flag([&](const char* name, bool P::*member) {
    const auto values = file.read_int32(group + name, 1, n);
    for (std::size_t i = 0; i < n; ++i) pockets[i].*member = values[i] != 0;
  });
  for_each_proposed([&](const char* name, double VentProposal::*member) {
    const auto values = file.read(group + name, 1, n);
    for (std::size_t i = 0; i < n; ++i)
      if (pockets[i].proposal) (*pockets[i].proposal).*member = values[i];
  });
  return pockets;
}

void write_scorch(H5File& file, const std::vector<ShutOffStretch>& stretches) {
  using S = ShutOffStretch;
  const std::string& group = scorch_group;
  std::vector<double> at;
  for (const S& s : stretches) at.insert(at.end(), {s.at.x, s.at.y});
  file.write_texts(group + "place", column(stretches, [](const S& s) { return s.place; }));
  file.write(group + "point", at, "m", 2);
  file.write(group + "length", column(stretches, [](const S& s) { return s.length; }), "m");
  file.write(group + "energy", column(stretches, [](const S& s) { return s.energy; }), "J");
}

std::vector<ShutOffStretch> read_scorch(const H5File& file) {
  const std::string& group = scorch_group;
  if (!file.has("/result/scorch")) return {};
  const std::vector<std::string> place = file.read_texts(group + "place");
  const std::size_t n = place.size();
  const auto at = file.read(group + "point", 2, n);
  const auto length = file.read(group + "length", 1, n);
  const auto energy = file.read(group + "energy", 1, n);
  double sum = 0.0;
  for (const double e : energy) sum += e;
  std::vector<ShutOffStretch> stretches;
  for (std::size_t i = 0; i < n; ++i) {
    if (!(length[i] > 0.0) || !(energy[i] > 0.0))
      reject(file, group + "length or energy is not above 0");
    stretches.push_back({place[i],
                         {at[2 * i], at[2 * i + 1]},
                         length[i],
                         energy[i],
                         energy[i] / length[i],
                         energy[i] / sum});
  }
  return stretches;
}

}  // namespace firstshot
