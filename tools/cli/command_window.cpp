#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <set>
#include <system_error>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/build_setup.hpp"
#include "io/results_folder.hpp"
#include "io/window_page.hpp"
#include "io/window_picture.hpp"
#include "tools/cli/card_places.hpp"
#include "tools/cli/case_job.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/stop_request.hpp"
#include "tools/cli/sweep_run.hpp"
#include "tools/cli/version.hpp"
#include "tools/cli/window_report.hpp"
#include "tools/cli/window_rounds.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

/// What is asked for, checked before anything runs.
struct WindowRequest {
  SweepPlan base;  ///< its one row: what --set sets
  Case c;          ///< with the values of --set
  std::vector<WindowAxis> axes;
  std::vector<VariedKey> varied;
  fs::path folder;
};

std::vector<WindowAxis> axes_of(const WindowOptions& options, const Case& c) {
  const std::vector<std::string>& written = options.sweep.axes;
  if (written.empty()) return usual_axes(c, read_cards(c, program_card_folders()).material);
  if (written.size() != 2)
    throw Error(
        fmt::format("a window has two axes, {} given; give --axis KEY=FROM..TO twice, or "
                    "not at all for melt temperature and speed",
                    written.size() == 1 ? "one is" : std::to_string(written.size()) + " are"));
  std::vector<WindowAxis> axes;
  axes.reserve(written.size());
  for (const std::string& text : written) axes.push_back(window_axis_from(text));
  return axes;
}

/// The usual ones, without keys that the window or --set determines; or those asked for.
std::vector<VariedKey> varied_of(const WindowOptions& options, const WindowRequest& request) {
  std::set<std::string> taken;
  for (const WindowAxis& axis : request.axes) taken.insert(axis.key());
  std::vector<VariedKey> varied;
  for (const std::string& text : options.varied) {
    varied.push_back(varied_from(text));
    const std::string& key = varied.back().range.key;
    if (!taken.insert(key).second)
      throw Error(fmt::format("--vary {}: this key is an axis already, or varied twice", key));
  }
  if (!options.varied.empty()) return varied;
  for (VariedKey& usual : usual_variation(request.c))
    if (taken.insert(usual.range.key).second) varied.push_back(std::move(usual));
  return varied;
}

/// Values that --set fixes.
void put_fixed(const std::vector<CaseOverride>& changes, WindowRequest& request) {
  request.base.values.resize(1);
  for (const CaseOverride& change : changes) {
    const bool on_axis = std::any_of(request.axes.begin(), request.axes.end(),
                                     [&](const WindowAxis& a) { return a.key() == change.key; });
    if (on_axis)
      throw Error(fmt::format("--set {}: this key is an axis of the window", change.key));
    request.base.keys.push_back(change.key);
    request.base.values.front().push_back(change.value);
  }
}

WindowRequest request_of(const WindowOptions& options) {
  WindowRequest request;
  std::vector<CaseOverride> changes;
  changes.reserve(options.changes.size());
  for (const std::string& text : options.changes) changes.push_back(override_from(text));
  const fs::path file = fs::absolute(options.sweep.input).lexically_normal();
  request.c = read_case(file, changes);
  request.axes = axes_of(options, request.c);
  if (request.axes[0].key() == request.axes[1].key())
    throw Error(fmt::format("axis {}: both axes are over this key", request.axes[0].key()));
  request.base.case_file = file;
  request.base.accuracy = options.sweep.accuracy;
  put_fixed(changes, request);
  request.varied = varied_of(options, request);
  mark_input(request.base);
  SweepPlan first = request.base;
  for (const WindowAxis& axis : request.axes) {
    first.keys.push_back(axis.key());
    first.values.front().push_back(axis.value(0.0));
  }
  (void)read_case(file,
                  first.changes(0));  // keys that exclude each other, places that are not there
  request.folder = options.sweep.output;
  if (request.folder.empty()) {
    CaseOptions beside;
    beside.case_file = options.sweep.input;
    request.folder = results_folder_of(beside).replace_extension(".window");
  }
  return request;
}

constexpr double pitch_of_probe = 0.05;  // beyond the edge that the map shows, of the range

/// From a setting along one axis: the first place outside of the good area and a little further, or
/// the end of the range.
Point probe_from(const WindowMap& map, const Point& from, std::size_t axis, bool upwards) {
  constexpr int steps = 400;
  Point end = from;
  double& moving = axis == 0 ? end.x : end.y;
  const double start = moving, last = upwards ? 1.0 : 0.0;
  for (int i = 1; i <= steps; ++i) {
    moving = start + (last - start) * i / steps;
    if (is_inside(map, end)) continue;
    moving = std::clamp(moving + (upwards ? pitch_of_probe : -pitch_of_probe), 0.0, 1.0);
    break;
  }
  return end;
}

class WindowSearch {
 public:
  WindowSearch(const WindowOptions& options, const WindowRequest& request, WindowRuns& runs,
               WindowRecord& record)
      : options_(options), request_(request), runs_(runs), record_(record) {}

  void find_map() {
    WindowLattice& lattice = record_.lattice;
    const auto points = [&](const WindowAxis& axis) {
      return static_cast<std::size_t>(axis.points() > 0 ? axis.points() : options_.points);
    };
    lattice.columns = points(request_.axes[0]);
    lattice.rows = points(request_.axes[1]);
    lattice.shots = runs_.shoot(
        "lattice", std::span<const Point>(lattice_points(lattice.columns, lattice.rows)));
    record_.edges = edges_of(lattice);
    halve(record_.edges.edges, options_.halvings, "edges");
    record_.map = window_map(lattice, record_.edges);
  }

  /// The roomiest setting that a run confirms; the roomiest of all good runs when the map misleads.
  void find_best() {
    constexpr int most_tries = 5;
    std::vector<WindowShot> bad;
    for (int i = 0; i < most_tries && !record_.best; ++i) {
      const auto roomy = roomiest_setting(record_.map, bad);
      if (!roomy) break;
      const SettingText setting = {request_.axes[0].handy_value(roomy->at.x),
                                   request_.axes[1].handy_value(roomy->at.y)};
      const WindowShot shot = runs_.shoot("best setting", std::vector{setting}).front();
      if (shot.good())
        take(runs_.run_at(setting), bad);
      else
        bad.push_back(shot);
    }
    if (record_.best) return;
    const WindowRun* most = nullptr;
    double room = -1.0;
    for (const WindowRun& run : runs_.runs()) {
      if (!run.judged.shot.good()) continue;
      const double here = clearance(record_.map, run.judged.shot.at, bad);
      if (here > room) most = &run;
      room = std::max(room, here);
    }
    if (most != nullptr) take(*most, bad);
  }

  /// How far the best setting may move along each axis.
  void find_sides() {
    if (!record_.best) return;
    const WindowShot best = record_.best->run.judged.shot;
    std::vector<WindowSide> sides;
    std::vector<Point> probes;
    for (const std::size_t axis : {0U, 1U})
      for (const bool upwards : {false, true}) {
        WindowSide side;
        side.axis = axis;
        side.upwards = upwards;
        sides.push_back(side);
        probes.push_back(probe_from(record_.map, best.at, axis, upwards));
      }
    std::vector<WindowShot> ends = runs_.shoot("ends of the ways", std::span<const Point>(probes));
    for (std::size_t i = 0; i < sides.size(); ++i)  // good further out than the map says
      if (ends[i].good())
        (sides[i].axis == 0 ? probes[i].x : probes[i].y) = sides[i].upwards ? 1.0 : 0.0;
    ends = runs_.shoot("ends of the ranges", std::span<const Point>(probes));
    std::vector<WindowEdge> edges;
    std::vector<std::size_t> places(sides.size(), sides.size());
    for (std::size_t i = 0; i < sides.size(); ++i) {
      if (ends[i].good()) continue;
      places[i] = edges.size();
      edges.push_back({best, ends[i]});
    }
    halve(edges, options_.halvings + 1, "ways to the edges");
    for (std::size_t i = 0; i < sides.size(); ++i)
      settle(sides[i], places[i] < edges.size() ? &edges[places[i]] : nullptr, ends[i].at);
    record_.best->sides = std::move(sides);
  }

 private:
  void halve(std::vector<WindowEdge>& edges, int times, const char* what) {
    for (int i = 0; i < times && !edges.empty(); ++i) {
      std::vector<Point> middles;
      middles.reserve(edges.size());
      for (const WindowEdge& edge : edges) middles.push_back(edge.middle());
      const auto shots = runs_.shoot(fmt::format("{}, halving {} of {}", what, i + 1, times),
                                     std::span<const Point>(middles));
      for (std::size_t k = 0; k < edges.size(); ++k) edges[k].narrow(shots[k]);
    }
  }

  void take(const WindowRun& run, std::span<const WindowShot> bad) {
    WindowBest best;
    best.run = run;
    best.clearance = clearance(record_.map, run.judged.shot.at, bad);
    record_.best = best;
  }

  /// @param edge nullptr: good to the end of the range
  void settle(WindowSide& side, const WindowEdge* edge, const Point& end) const {
    const WindowAxis& axis = request_.axes[side.axis];
    const auto along = [&](const Point& p) { return side.axis == 0 ? p.x : p.y; };
    const auto number = [&](double share) { return axis.number(axis.value(share)); };
    const double from = along(record_.best->run.judged.shot.at);
    const double to = along(edge == nullptr ? end : edge->at());
    side.edge = number(to);
    side.sure = number(edge == nullptr ? to : along(edge->good.at));
    side.distance = std::abs(side.edge - axis.number(record_.best->run.values[side.axis]));
    side.share = std::abs(to - from);
    if (edge != nullptr) side.beyond = edge->bad.kind;
  }

  const WindowOptions& options_;
  const WindowRequest& request_;
  WindowRuns& runs_;
  WindowRecord& record_;
};

std::vector<unsigned char> bytes_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

void write_window(const WindowRecord& record, const Series& series, const fs::path& folder) {
  write_series(series, folder);
  write_atomically(folder / "window.csv", window_csv(record));
  write_window_picture(record, folder / "window");
  write_atomically(folder / "window.html",
                   window_html(record, bytes_of(folder / "window.png"), version_text));
  write_atomically(folder / "window.json", window_json(record));
}

int print_window(const WindowOptions& options, const WindowRecord& record, const WindowRuns& runs,
                 const fs::path& folder) {
  if (options.json) {
    fmt::print("{}", window_json(record));
  } else {
    fmt::print("{}{}", window_text(record), reasons_text(runs.series()));
    const std::string reasons = reasons_text(runs.shot_series());
    if (!reasons.empty()) fmt::print("  of the shots that vary:\n{}", reasons);
    fmt::print("{}\n", (folder / "window.html").string());
  }
  if (record.count(ShotClass::no_result) == record.runs.size()) return exit_no_solution;
  return options.strict && !record.best ? exit_not_approved : exit_done;
}

}  // namespace

int window_command(const WindowOptions& options) {
  const StopRequest listening;
  const WindowRequest request = request_of(options);
  std::error_code error;
  fs::create_directories(request.folder, error);
  if (error)
    throw Error(
        fmt::format("cannot make the folder \"{}\": {}", request.folder.string(), error.message()));
  const FolderLock lock(request.folder);
  WindowRecord record;
  record.title = request.c.title;
  record.accuracy = options.sweep.accuracy;
  record.axes = request.axes;
  WindowRuns runs(options.sweep, request.base, request.axes, request.folder);
  try {
    WindowSearch search(options, request, runs, record);
    search.find_map();
    search.find_best();
    search.find_sides();
    if (record.best && options.shots > 0 && !request.varied.empty())
      record.shots = runs.vary(
          record.best->run.values, request.varied, static_cast<std::size_t>(options.shots),
          options.sweep.seed < 0 ? 1 : static_cast<std::uint64_t>(options.sweep.seed));
  } catch (const RunsStopped& stopped) {
    fmt::print(stderr, "firstshot: {}\n", stopped.sentence);
    return StopRequest::signal() != 0 ? exit_code_of_signal(StopRequest::signal())
                                      : exit_no_solution;
  }
  record.runs = runs.runs();
  write_window(record, runs.series(), request.folder);
  return print_window(options, record, runs, request.folder);
}

}  // namespace firstshot
