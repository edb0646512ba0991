// firstshot_bench: one command, one table. References of the machine first, then the stages of
// firstshot against them; each line is the median of several runs with their spread.
#include <cstddef>
#include <exception>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "io/case_error.hpp"
#include "tools/bench/cycles.hpp"
#include "tools/bench/fills.hpp"
#include "tools/bench/references.hpp"

int main(int argc, char** argv) {
  std::size_t nodes = 500000;
  std::size_t triad = std::size_t{16} << 20;  // 128 MiB per array, far beyond any cache
  int runs = 5;
  CLI::App app{"Measures this machine and firstshot on it; prints one table."};
  app.add_option("--nodes", nodes, "nodes of the sparse reference system")
      ->check(CLI::Range(std::size_t{100}, std::size_t{4000000}))
      ->capture_default_str();
  app.add_option("--triad", triad, "numbers in each array of the memory reference")
      ->check(CLI::Range(std::size_t{1000}, std::size_t{1} << 28))
      ->capture_default_str();
  app.add_option("--runs", runs, "runs per line; the median is shown")
      ->check(CLI::Range(1, 1000))
      ->capture_default_str();
  firstshot::bench::FillOptions fill;
  app.add_option("--case", fill.case_file,
                 "case to be filled, held and cooled, for example cases/harbour-tug/case.toml");
  app.add_option("--level", fill.levels, "accuracy levels to be filled")
      ->delimiter(',')
      ->default_str("preview,default");
  app.add_option("--growth", fill.element_sizes,
                 "element sizes in mm for the growth of cost with the mesh, such as 2,0.7,0.4,0.2")
      ->delimiter(',');
  app.add_option("--fill-runs", fill.runs, "fills per level; the median is shown")
      ->check(CLI::Range(1, 100))
      ->capture_default_str();
  CLI11_PARSE(app, argc, argv);
  if (fill.levels.empty()) fill.levels = {"preview", "default"};
  try {
    const firstshot::bench::References references =
        firstshot::bench::measure_references(nodes, triad, runs);
    std::vector<firstshot::bench::Row> rows = references.rows;
    if (!fill.case_file.empty()) {
      const auto more =
          firstshot::bench::fill_rows(fill, references.factorisation, references.bandwidth);
      rows.insert(rows.end(), more.begin(), more.end());
      const auto cycles = firstshot::bench::cycle_rows(fill, references);
      rows.insert(rows.end(), cycles.begin(), cycles.end());
    }
    fmt::print("{}", firstshot::bench::table_text(rows));
  } catch (const firstshot::Error& error) {
    fmt::print(stderr, "firstshot_bench: {}\n", error.what());
    return 2;
  } catch (const std::exception& error) {
    fmt::print(stderr, "firstshot_bench: {}\n", error.what());
    return 4;
  }
  return 0;
}
