// firstshot_bench: one command, one table. References of the machine first, then the stages of
// firstshot against them; each line is the median of several runs with their spread.
#include <cstddef>
#include <exception>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

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
  CLI11_PARSE(app, argc, argv);
  try {
    fmt::print("{}",
               firstshot::bench::table_text(firstshot::bench::reference_rows(nodes, triad, runs)));
  } catch (const std::exception& error) {
    fmt::print(stderr, "firstshot_bench: {}\n", error.what());
    return 4;
  }
  return 0;
}
