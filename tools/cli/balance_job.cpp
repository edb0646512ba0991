#include "tools/cli/balance_job.hpp"

#include <algorithm>
#include <chrono>
#include <iostream>

#include <fmt/format.h>

#include "io/balance_layout.hpp"
#include "io/resolved_case.hpp"
#include "io/results_folder.hpp"
#include "solver/numeric/parallel.hpp"
#include "solver/whole/run_case.hpp"
#include "tools/cli/card_places.hpp"
#include "tools/cli/case_job.hpp"
#include "tools/cli/progress.hpp"
#include "tools/cli/stop_request.hpp"
#include "tools/cli/version.hpp"

namespace firstshot {

using Clock = std::chrono::steady_clock;

BalanceJob::BalanceJob(const BalanceOptions& options, std::filesystem::path folder, Case written)
    : options_(options), folder_(std::move(folder)), written_(std::move(written)) {}

BuiltSetup BalanceJob::build(const Case& c) const { return build_setup(c, program_card_folders()); }

Result BalanceJob::run(const BuiltSetup& built, const char* name, FillRecorder* recorder) {
  const auto begin = Clock::now();
  ResultsFolder results(folder_ / name, case_record(built), built.setup);
  write_resolved_case(built, results.path());
  Progress progress(std::cerr, progress_style(options_.common.quiet || options_.common.json));
  Result result = run_case(built.setup, [&](const Snapshot& s) {
    progress.show(s);
    results.on_snapshot(s);
    if (recorder != nullptr) recorder->see(s);
    return StopRequest::signal() == 0;
  });
  progress.finish();
  const double wall = std::chrono::duration<double>(Clock::now() - begin).count();
  results.finish(result, {version_text, thread_count(), wall, peak_memory_MB()});
  ++runs_;
  if (result.outcome == Outcome::interrupted) throw Stopped{};
  return result;
}

Result BalanceJob::fill(const Setup& setup, FillRecorder* recorder) {
  Result result = run_case(setup, [&](const Snapshot& s) {
    if (recorder != nullptr) recorder->see(s);
    return StopRequest::signal() == 0 && s.state.mode != FillMode::done;
  });
  ++runs_;
  if (StopRequest::signal() != 0) throw Stopped{};
  return result;
}

void BalanceJob::say(const std::string& text) const {
  if (!options_.common.quiet && !options_.common.json) fmt::print(stderr, "{}\n", text);
}

Case find_vents(BalanceJob& job, const Result& first, BalanceAnswer& answer) {
  constexpr int most = 12;
  std::vector<AirPocketResult> pockets = first.air_pockets;
  const auto traps = [](const std::vector<AirPocketResult>& p) {
    return std::count_if(p.begin(), p.end(), wants_vent);
  };
  const auto with = [&](const std::vector<VentProposal>& vents) {
    Case c = job.written();
    for (const VentProposal& v : vents) c = vented_case(c, v);
    return c;
  };
  while (traps(pockets) > 0 && static_cast<int>(answer.vents.size()) < most) {
    const auto worst = std::find_if(pockets.begin(), pockets.end(), wants_vent);
    answer.vents.push_back(*worst->proposal);
    pockets = job.fill(job.build(with(answer.vents)).setup).air_pockets;
    job.say(fmt::format("vent {} at {}: {} pockets are left that a vent can cure",
                        answer.vents.size(), worst->part, traps(pockets)));
  }
  const auto left = traps(pockets);
  for (std::size_t k = answer.vents.size(); k-- > 0 && answer.vents.size() > 1;) {
    std::vector<VentProposal> without = answer.vents;
    without.erase(without.begin() + static_cast<std::ptrdiff_t>(k));
    if (traps(job.fill(job.build(with(without)).setup).air_pockets) <= left) answer.vents = without;
  }
  answer.reached = left == 0;
  if (!answer.reached)
    answer.blocked = "more air is caught than " + std::to_string(most) +
                     " vents let out; see air_pockets in after/summary.json";
  return with(answer.vents);
}

}  // namespace firstshot
