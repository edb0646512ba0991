#include "tools/cli/window_report.hpp"

#include <algorithm>
#include <map>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "io/window_words.hpp"

namespace firstshot {

std::string window_text(const WindowRecord& record) {
  std::string text =
      fmt::format("{} settings were run: {}\n", record.runs.size(), count_words(record));
  for (const std::string& sentence : best_sentences(record)) text += sentence + "\n";
  for (const std::string& sentence : shots_sentences(record)) text += sentence + "\n";
  return text;
}

std::string reasons_text(const Series& series) {
  std::map<std::string, std::pair<std::size_t, std::size_t>> counts;  // reason → count, first run
  for (std::size_t i = 0; i < series.size(); ++i) {
    if (series.states[i] != RunState::failed) continue;
    const std::string reason = series.reasons[i].substr(0, series.reasons[i].find('\n'));
    const auto found = counts.try_emplace(reason, 0, i + 1).first;
    ++found->second.first;
  }
  std::vector<std::pair<std::size_t, std::string>> sorted;
  sorted.reserve(counts.size());
  for (const auto& [reason, count] : counts)
    sorted.emplace_back(
        count.first,
        fmt::format("run {}{}: {}", count.second,
                    count.first > 1 ? fmt::format(" and {} more", count.first - 1) : "", reason));
  std::sort(sorted.rbegin(), sorted.rend());
  constexpr std::size_t most_shown = 5;
  std::string text;
  for (std::size_t i = 0; i < std::min(sorted.size(), most_shown); ++i)
    text += fmt::format("  {}\n", sorted[i].second);
  if (sorted.size() > most_shown)
    text += fmt::format("  and {} other reasons, in series.csv\n", sorted.size() - most_shown);
  return text;
}

}  // namespace firstshot
