#include <algorithm>
#include <chrono>
#include <cmath>
#include <iostream>
#include <limits>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/balance_layout.hpp"
#include "io/report_html.hpp"
#include "io/resolved_case.hpp"
#include "io/results_folder.hpp"
#include "solver/numeric/parallel.hpp"
#include "tools/cli/balance_report.hpp"
#include "tools/cli/card_places.hpp"
#include "tools/cli/case_job.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/progress.hpp"
#include "tools/cli/stop_request.hpp"
#include "tools/cli/version.hpp"

namespace firstshot {
namespace {

using Clock = std::chrono::steady_clock;
namespace fs = std::filesystem;

/// Somebody asked to stop; what is unfinished is not written.
struct Stopped {};

struct Job {
  const BalanceOptions& options;
  fs::path folder;
  Case written;  ///< as read
  int runs = 0;

  BuiltSetup build(const Case& c) const { return build_setup(c, program_card_folders()); }

  /// A whole run with its results, into a folder of its own.
  Result run(const BuiltSetup& built, const char* name) {
    const auto begin = Clock::now();
    ResultsFolder results(folder / name, case_record(built), built.setup);
    write_resolved_case(built, results.path());
    Progress progress(std::cerr, progress_style(options.common.quiet || options.common.json));
    Result result = run_case(built.setup, [&](const Snapshot& s) {
      progress.show(s);
      results.on_snapshot(s);
      return StopRequest::signal() == 0;
    });
    progress.finish();
    const double wall = std::chrono::duration<double>(Clock::now() - begin).count();
    results.finish(result, {version_text, thread_count(), wall, peak_memory_MB()});
    ++runs;
    if (result.outcome == Outcome::interrupted) throw Stopped{};
    return result;
  }

  /// Fills only, to see what a proposal is worth.
  Result fill(const Setup& setup) {
    Result result = run_case(setup, [&](const Snapshot& s) {
      return StopRequest::signal() == 0 && s.state.mode != FillMode::done;
    });
    ++runs;
    if (StopRequest::signal() != 0) throw Stopped{};
    return result;
  }

  struct Tried {
    double spread = 0.0;  ///< infinite when a part stays short [s]
    BuiltSetup built;
    Result result;
  };
  Tried try_sizes(const Model& model, const std::vector<SizeFactors>& factors) {
    Tried t{0.0, build(resized_case(written, model, factors)), {}};
    t.result = fill(t.built.setup);
    t.spread = balance_run(t.built.setup, t.result).spread;
    for (const PartResult& part : t.result.parts)
      if (part.full < 0.0) t.spread = std::numeric_limits<double>::infinity();
    return t;
  }

  void say(const std::string& text) const {
    if (!options.common.quiet && !options.common.json) fmt::print(stderr, "{}\n", text);
  }
};

bool alike(const std::vector<SizeFactors>& a, const std::vector<SizeFactors>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), [](const SizeFactors& x, const SizeFactors& y) {
    return x.width == y.width && x.depth == y.depth;
  });
}

/// The best sizes so far and the spread that a full fill gave them [s].
struct Best {
  std::vector<SizeFactors>& factors;
  double& spread;
};

/// What the network cannot see: the size of each change goes to its neighbours in the list as long
/// as full fills say that the spread falls.
void refine(Job& job, const Setup& setup, const std::vector<SizeChoice>& choices, double target,
            const Best& best, BalanceAnswer& answer) {
  constexpr int most_fills = 12;
  int fills = 0;
  for (SizeChange& change : answer.changes)
    for (const SizeChoice& c : choices) {
      const Channel& channel = setup.model.channels[c.channel];
      if (channel.name != change.channel || c.depth != change.depth) continue;
      for (const int way : {1, -1})
        while (best.spread > target && fills < most_fills) {
          auto at = std::find_if(c.allowed.begin(), c.allowed.end(),
                                 [&](double s) { return std::abs(s - change.to) < 1e-9; });
          if (at == c.allowed.end() ||
              (way < 0 ? at == c.allowed.begin() : at + 1 == c.allowed.end()))
            break;
          const double size = *(at + way);
          std::vector<SizeFactors> trial = best.factors;
          SizeFactors& f = trial[c.channel];
          if (!c.depth) f.width = size / c.present;
          if (c.depth || channel.role != Role::gate) f.depth = size / c.present;
          const double seen = job.try_sizes(setup.model, trial).spread;
          ++fills;
          job.say(fmt::format("trial with {} of {:.4g} mm: spread {:.3f} s", channel.name,
                              size / 1e-3, seen));
          if (seen >= best.spread) break;
          best.spread = seen;
          best.factors = trial;
          change.to = size;
        }
    }
}

/// Sizes: proposals by the tree, each tried by a full fill that calibrates the tree anew.
Case find_sizes(Job& job, const BuiltSetup& base, const Result& first, BalanceAnswer& answer) {
  const Setup& setup = base.setup;
  const double share =
      job.options.target > 0.0 ? job.options.target : setup.limits.fill_time_spread;
  constexpr double mm = 1e-3;
  constexpr int most_rounds = 4;
  BalanceRules rules{job.written.cutters, job.options.step * mm, job.options.metal_safe,
                     job.options.visible_gates, share * answer.before.fill};
  answer.target = rules.target;
  answer.reached = answer.before.spread <= rules.target;
  (void)resized_case(job.written, setup.model,
                     std::vector<SizeFactors>(setup.model.channels.size()));  // has it a layout?
  const std::vector<SizeChoice> choices = size_choices(setup, first, rules);
  answer.blocked = blocking_rules(setup, choices);
  if (answer.reached) return job.written;
  std::vector<SizeFactors> best(setup.model.channels.size()), applied = best;
  double least = answer.before.spread;
  BalanceTree tree(setup, first);
  for (int round = 0; round < most_rounds && !answer.reached; ++round) {
    const BalanceProposal proposal = propose_sizes(setup, tree, applied, choices, rules);
    if (proposal.changes.empty() || (round > 0 && alike(applied, proposal.factors))) break;
    applied = proposal.factors;
    const auto [seen, built, filled] = job.try_sizes(setup.model, applied);
    job.say(fmt::format("trial {}: {} changes, spread {:.3f} s (the network says {:.3f} s)",
                        round + 1, proposal.changes.size(), seen, proposal.after.spread));
    if (seen < least) {
      least = seen;
      best = applied;
      answer.changes = proposal.changes;
      answer.reached = least <= rules.target;
    }
    if (!std::isfinite(seen)) break;
    tree = BalanceTree(built.setup, filled);
  }
  refine(job, setup, choices, rules.target, {best, least}, answer);
  answer.reached = answer.reached || least <= rules.target;
  return resized_case(job.written, setup.model, best);
}

/// Vents, one by one where the worst air is, until no air is left that a vent can cure; one that
/// turns out to be needless goes again.
Case find_vents(Job& job, const Result& first, BalanceAnswer& answer) {
  constexpr int most = 12;
  std::vector<AirPocketResult> pockets = first.air_pockets;
  const auto traps = [](const std::vector<AirPocketResult>& p) {
    return std::count_if(p.begin(), p.end(), wants_vent);
  };
  const auto with = [&](const std::vector<VentProposal>& vents) {
    Case c = job.written;
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

}  // namespace

int balance_command(const BalanceOptions& options) {
  const StopRequest listening;
  const BuiltSetup base = build_case(options.common);
  Job job{options, options.common.output, base.resolved};
  if (job.folder.empty()) {
    job.folder = results_folder_of(options.common);
    job.folder.replace_extension(".balance");
  }
  job.written = changed_case(options.common);
  BalanceAnswer answer;
  answer.folder = job.folder.string();
  try {
    const Result before = job.run(base, "before");
    answer.before = balance_run(base.setup, before);
    const Case better =
        options.vents ? find_vents(job, before, answer) : find_sizes(job, base, before, answer);
    const BuiltSetup built = job.build(better);
    const Result after = job.run(built, "after");
    answer.after = balance_run(built.setup, after);
    if (!options.vents) answer.reached = answer.after.spread <= answer.target;
    answer.runs = job.runs;
    write_resolved_case(built, job.folder);
    write_atomically(job.folder / "balance.json", balance_json(answer));
    write_atomically(
        job.folder / "report.html",
        report_html(std::vector{job.folder / "before", job.folder / "after"}, version_text));
  } catch (const Stopped&) {
    fmt::print(stderr, "firstshot: stopped; no new case is written\n");
    return exit_code_of_signal(StopRequest::signal());
  }
  fmt::print("{}", options.common.json ? balance_json(answer) : balance_text(answer));
  return exit_done;
}

}  // namespace firstshot
