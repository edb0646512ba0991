#include <fmt/format.h>

#include "io/key_reference.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"

namespace firstshot {
namespace {

std::string key_list() {
  std::string text;
  for (const KeySpec& key : case_keys())
    text += fmt::format("{:<44}{}\n", key.path, value_text(key));
  return text +
         "\nfirstshot explain KEY says more about one of them; [] stands for a list of tables.\n";
}

}  // namespace

int explain_command(const ExplainOptions& options) {
  if (options.json)
    fmt::print("{}\n", case_schema_json());
  else if (options.markdown)
    fmt::print("{}\n", key_reference_markdown());
  else
    fmt::print("{}\n", options.key.empty() ? key_list() : explain_key(options.key));
  return exit_done;
}

}  // namespace firstshot
