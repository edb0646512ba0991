// Text → tree: the only file that includes toml++. Guards against files that are no sensible case:
// too large, or nested so deeply that a recursive reader would run out of stack.
#include <algorithm>
#include <fstream>
#include <iterator>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <toml++/toml.h>

#include "io/toml_reader.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t kLargestFile =
    8u << 20u;                   // [bytes]; a frame of 100 parts with 1000 corners is 2 MB
constexpr int kDeepestKey = 32;  // dots in one dotted key; our deepest key has 4

Place place_of(const toml::source_region& region) {
  return {static_cast<int>(region.begin.line), static_cast<int>(region.begin.column)};
}

// Finds keys with very many dots before the parser makes a table for each: it limits brackets, not
// dots.
class DotGuard {
 public:
  explicit DotGuard(std::string_view text) : text_(text) {}

  /// Place of the first key that is too deep, if any.
  std::optional<Place> find() {
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '#')
        skip_comment();
      else if (c == '"' || c == '\'')
        skip_string(c);
      else if (!count(c))
        return place();
      else
        ++at_;
    }
    return std::nullopt;
  }

 private:
  // False when this character makes a key too deep.
  bool count(char c) {
    const bool in_key = std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '-' ||
                        c == '.' || c == ' ' || c == '\t';
    if (!in_key) dots_ = 0;
    if (c == '.') ++dots_;
    return dots_ <= kDeepestKey;
  }

  void skip_comment() {
    while (at_ < text_.size() && text_[at_] != '\n') ++at_;
  }

  void skip_string(char quote) {
    const std::string_view triple = quote == '"' ? "\"\"\"" : "'''";
    const bool multi_line = text_.substr(at_).starts_with(triple);
    const std::string_view end = multi_line ? triple : triple.substr(0, 1);
    at_ += end.size();
    while (at_ < text_.size() && !text_.substr(at_).starts_with(end)) {
      if (!multi_line && text_[at_] == '\n') return;
      at_ += (quote == '"' && text_[at_] == '\\') ? 2 : 1;
    }
    at_ += end.size();
  }

  Place place() const {
    const std::string_view before = text_.substr(0, at_);
    const std::size_t line_start = before.rfind('\n');
    const std::size_t column = line_start == std::string_view::npos ? at_ : at_ - line_start - 1;
    return {static_cast<int>(std::count(before.begin(), before.end(), '\n')) + 1,
            static_cast<int>(column) + 1};
  }

  std::string_view text_;
  std::size_t at_ = 0;
  int dots_ = 0;
};

TomlNode converted(const toml::node& source);

void convert_table(const toml::table& table, TomlNode& node) {
  for (const auto& [key, value] : table) {
    node.entries.push_back({std::string(key.str()), place_of(key.source()), converted(value)});
  }
  std::stable_sort(
      node.entries.begin(), node.entries.end(), [](const TomlEntry& a, const TomlEntry& b) {
        return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
      });
}

// Depth is limited by the parser (brackets) and by DotGuard (keys), so recursion is safe.
TomlNode converted(const toml::node& source) {
  TomlNode node;
  node.place = place_of(source.source());
  switch (source.type()) {
    case toml::node_type::table:
      convert_table(*source.as_table(), node);
      break;
    case toml::node_type::array:
      node.kind = NodeKind::array;
      for (const toml::node& item : *source.as_array()) node.items.push_back(converted(item));
      break;
    case toml::node_type::string:
      node.kind = NodeKind::string;
      node.text = source.as_string()->get();
      break;
    case toml::node_type::integer:
      node.kind = NodeKind::integer;
      node.number = static_cast<double>(source.as_integer()->get());
      break;
    case toml::node_type::floating_point:
      node.kind = NodeKind::number;
      node.number = source.as_floating_point()->get();
      break;
    case toml::node_type::boolean:
      node.kind = NodeKind::boolean;
      node.flag = source.as_boolean()->get();
      break;
    default:
      node.kind = NodeKind::date;
  }
  return node;
}

std::string line_of(const std::string& text, int line) {
  std::size_t start = 0;
  for (int i = 1; i < line && start != std::string::npos; ++i) {
    start = text.find('\n', start);
    if (start != std::string::npos) ++start;
  }
  if (start == std::string::npos || line < 1) return {};
  std::string found = text.substr(start, text.find('\n', start) - start);
  if (!found.empty() && found.back() == '\r') found.pop_back();
  return found;
}

CaseError file_error(const std::string& name, const std::string& what) {
  return {{name, 0, 0, "", ""}, what};
}

}  // namespace

const TomlNode* TomlNode::find(std::string_view key) const {
  for (const TomlEntry& entry : entries) {
    if (entry.key == key) return &entry.value;
  }
  return nullptr;
}

std::string kind_name(NodeKind kind) {
  switch (kind) {
    case NodeKind::table:
      return "a table";
    case NodeKind::array:
      return "a list";
    case NodeKind::string:
      return "a text in quotes";
    case NodeKind::integer:
      return "a whole number";
    case NodeKind::number:
      return "a number";
    case NodeKind::boolean:
      return "true or false";
    case NodeKind::date:
      return "a date or time";
  }
  return {};
}

TomlFile TomlFile::read(const fs::path& path) {
  const std::string name = path.string();
  std::error_code ec;
  const fs::file_status status = fs::status(path, ec);
  if (status.type() == fs::file_type::none)
    throw file_error(name, fmt::format("the file cannot be read: {}", ec.message()));
  if (!fs::exists(status)) throw file_error(name, "there is no such file");
  if (fs::is_directory(status)) throw file_error(name, "this is a folder, but a file is needed");
  if (!fs::is_regular_file(status)) throw file_error(name, "this is not an ordinary file");
  const std::uintmax_t size = fs::file_size(path, ec);
  if (ec || size > kLargestFile) {
    throw file_error(
        name, fmt::format("the file is too large; at most {} MB are read", kLargestFile >> 20u));
  }
  std::ifstream in(path, std::ios::binary);
  std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
  if (!in || in.bad()) throw file_error(name, "the file cannot be read; check its permissions");
  if (text.find_first_not_of(" \t\r\n") == std::string::npos)
    throw file_error(name, "the file is empty");
  return parse(std::move(text), name, path.parent_path());
}

TomlFile TomlFile::parse(std::string text, std::string name, fs::path directory) {
  TomlFile file;
  file.text_ = std::move(text);
  file.name_ = std::move(name);
  file.directory_ = std::move(directory);
  if (file.text_.size() > kLargestFile) throw file_error(file.name_, "the text is too large");
  if (const auto place = DotGuard(file.text_).find()) {
    throw file.error(*place, "", fmt::format("a key has more than {} dots", kDeepestKey));
  }
  try {
    const toml::table table = toml::parse(std::string_view(file.text_));
    convert_table(table, file.root_);
    file.root_.place = {1, 1};
  } catch (const toml::parse_error& e) {
    throw file.error(place_of(e.source()), "",
                     fmt::format("this is not valid TOML: {}", e.description()));
  }
  return file;
}

CaseError TomlFile::error(Place place, const std::string& key, const std::string& what) const {
  return {{name_, place.line, place.column, key, line_of(text_, place.line)}, what};
}

}  // namespace firstshot
