#include <vector>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/balance_layout.hpp"
#include "io/report_html.hpp"
#include "io/resolved_case.hpp"
#include "tools/cli/balance_job.hpp"
#include "tools/cli/case_job.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/stop_request.hpp"
#include "tools/cli/version.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

BalanceAim aim_of(const std::string& word) {
  if (word == "pressure") return BalanceAim::pressure;
  return word == "weight" ? BalanceAim::weight : BalanceAim::even;
}

BalanceRules rules_of(const BalanceJob& job, const Setup& setup, const BalanceAnswer& answer) {
  constexpr double mm = 1e-3;
  const BalanceOptions& options = job.options();
  const double share = options.target > 0.0 ? options.target : setup.limits.fill_time_spread;
  BalanceRules rules;
  rules.cutters = job.written().cutters;
  rules.step = options.step * mm;
  rules.metal_safe = options.metal_safe;
  rules.visible_gates = options.visible_gates;
  rules.target = share * answer.before.nearly;
  rules.aim = aim_of(options.aim);
  rules.most_pressure = setup.limits.pressure_share * setup.process.injection_pressure_max;
  return rules;
}

Case find_better_sizes(BalanceJob& job, const BuiltSetup& base, const Result& first,
                       const FillRecord& record, BalanceAnswer& answer) {
  const Setup& setup = base.setup;
  const BalanceTrial present = balance_trial(setup, first, record);
  // Made again for its words where the frame does not fill.
  if (!present.fills) (void)FillNetwork(setup, first, record);
  const BalanceRules rules = rules_of(job, setup, answer);
  const std::vector<SizeChoice> choices = size_choices(setup, first, rules);
  answer.target = rules.target;
  answer.blocked = blocking_rules(setup, choices);
  FindSettings settings;
  settings.on_note = [&](const std::string& text) { job.say(text); };
  const TrySizes run = [&](const std::vector<SizeFactors>& factors) {
    const BuiltSetup built = job.build(resized_case(job.written(), setup.model, factors));
    FillRecorder recorder(built.setup);
    const Result result = job.fill(built.setup, &recorder);
    return balance_trial(built.setup, result, recorder.record());
  };
  answer.sizes = find_sizes(setup, present, choices, rules, run, settings);
  return resized_case(job.written(), setup.model, answer.sizes->factors);
}

fs::path folder_of(const BalanceOptions& options) {
  if (!options.common.output.empty()) return options.common.output;
  fs::path folder = results_folder_of(options.common);
  return folder.replace_extension(".balance");
}

void work(BalanceJob& job, BalanceAnswer& answer) {
  const BalanceOptions& options = job.options();
  if (!options.vents) need_drawn_channels(job.written());
  const BuiltSetup base = build_case(options.common, job.written());
  FillRecorder recorder(base.setup);
  const Result before = job.run(base, "before", &recorder);
  answer.before = balance_run(base.setup, before);
  const Case better = options.vents ? find_vents(job, before, answer)
                      : options.gates
                          ? find_gates(job, before, answer)
                          : find_better_sizes(job, base, before, recorder.record(), answer);
  const BuiltSetup built = job.build(better);
  const Result after = job.run(built, "after");
  answer.after = balance_run(built.setup, after);
  if (options.gates) answer.reached = answer.after.caught == 0 && answer.after.shorts == 0;
  if (answer.sizes) answer.reached = answer.after.spread <= answer.target;
  answer.runs = job.runs();
  write_resolved_case(built, job.folder());
  write_atomically(job.folder() / "balance.json", balance_json(answer));
  write_atomically(
      job.folder() / "report.html",
      report_html(std::vector{job.folder() / "before", job.folder() / "after"}, version_text));
}

}  // namespace

int balance_command(const BalanceOptions& options) {
  const StopRequest listening;
  BalanceJob job(options, folder_of(options), changed_case(options.common));
  BalanceAnswer answer;
  answer.folder = job.folder().string();
  try {
    work(job, answer);
  } catch (const Stopped&) {
    fmt::print(stderr, "firstshot: stopped; no new case is written\n");
    return exit_code_of_signal(StopRequest::signal());
  }
  fmt::print("{}", options.common.json ? balance_json(answer) : balance_text(answer));
  return exit_done;
}

}  // namespace firstshot
