#include <filesystem>
#include <string>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/pictures.hpp"
#include "io/report_html.hpp"
#include "mesh/error.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/version.hpp"

namespace firstshot {

namespace {

namespace fs = std::filesystem;

int draw_pictures(const ReportOptions& options, const fs::path& folder) {
  if (options.results.size() != 1)
    throw Error("--pictures draws one run at a time, here are " +
                std::to_string(options.results.size()));
  const fs::path to = options.output.empty() ? folder / "pictures" : options.output;
  for (const fs::path& file : write_pictures(options.results.front(), to, version_text))
    fmt::print("{}\n", file.string());
  return exit_done;
}

}  // namespace

int report_command(const ReportOptions& options) {
  const fs::path& first = options.results.front();
  const fs::path folder = fs::is_directory(first) ? first : first.parent_path();
  if (options.pictures) return draw_pictures(options, folder);
  const fs::path page = options.output.empty() ? folder / "report.html" : options.output;
  write_atomically(page, report_html(options.results, version_text));
  fmt::print("{}\n", page.string());
  return exit_done;
}

}  // namespace firstshot
