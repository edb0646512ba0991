#include <filesystem>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/report_html.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/version.hpp"

namespace firstshot {

int report_command(const ReportOptions& options) {
  namespace fs = std::filesystem;
  const fs::path& first = options.results.front();
  const fs::path folder = fs::is_directory(first) ? first : first.parent_path();
  const fs::path page = options.output.empty() ? folder / "report.html" : options.output;
  write_atomically(page, report_html(options.results, version_text));
  fmt::print("{}\n", page.string());
  return exit_done;
}

}  // namespace firstshot
