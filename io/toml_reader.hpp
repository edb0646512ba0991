// TOML files as values that remember where they stand, so that every complaint can show its line.
//
// TomlFile holds the tree and the text; TableReader reads one table with checks (type, unit, range)
// and knows which keys were asked for, so that finish() can refuse the others with the nearest
// known one.
#pragma once

#include <filesystem>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "io/case_error.hpp"
#include "io/units.hpp"

namespace firstshot {

/// Place in a file, in lines and characters from 1; 0 = not known.
struct Place {
  int line = 0;
  int column = 0;
};

enum class NodeKind { table, array, string, integer, number, boolean, date };
struct TomlEntry;

/// A value of the file. Only the members that belong to its kind are set.
struct TomlNode {
  NodeKind kind = NodeKind::table;
  Place place;
  std::string text;                ///< string
  double number = 0.0;             ///< integer and number; may be NaN or infinite as written
  bool flag = false;               ///< boolean
  std::vector<TomlNode> items;     ///< array
  std::vector<TomlEntry> entries;  ///< table, in the order of the file
  /// Entry of a table, nullptr when it has none of that name.
  const TomlNode* find(std::string_view key) const;
};
struct TomlEntry {
  std::string key;
  Place place;
  TomlNode value;
};
/// For sentences: "a table", "a string", "a number".
std::string kind_name(NodeKind kind);

class TomlFile {
 public:
  /// Reads a file. @throws CaseError not there, a folder, not readable, too large, no valid TOML
  static TomlFile read(const std::filesystem::path& path);
  /// @param name shown in errors @param directory that relative paths in the text refer to
  static TomlFile parse(std::string text, std::string name, std::filesystem::path directory = {});

  const TomlNode& root() const { return root_; }
  /// To put other values in; what is put in has no place in the text.
  TomlNode& edit() { return root_; }
  const std::string& name() const { return name_; }
  const std::filesystem::path& directory() const { return directory_; }
  const std::string& text() const { return text_; }
  /// Error at a place of this file. @param key as the user knows it, "process.melt_temperature"
  CaseError error(Place place, const std::string& key, const std::string& what) const;

 private:
  std::string text_;
  std::string name_;
  std::filesystem::path directory_;
  TomlNode root_;
};

/// Bounds of a value in the unit of its dimension; an open bound is itself not allowed.
struct Range {
  double min = -std::numeric_limits<double>::infinity();
  double max = std::numeric_limits<double>::infinity();
  bool min_open = false;
  bool max_open = false;
  bool contains(double value) const;  ///< false for NaN
};
constexpr Range positive() { return {0.0, std::numeric_limits<double>::infinity(), true, false}; }
constexpr Range at_least(double min) {
  return {min, std::numeric_limits<double>::infinity(), false, false};
}
constexpr Range between(double min, double max) { return {min, max, false, false}; }
/// "more than 0 mm", "from 0 % to 100 %"; plain numbers without a dimension.
std::string range_text(const Range& range, std::optional<Dimension> dim);

// Checked values of single nodes; `key` is for the message. All throw CaseError at the node.
double quantity_of(const TomlFile& file, const TomlNode& node, const std::string& key,
                   Dimension dim, const Range& range = {});
double number_of(const TomlFile& file, const TomlNode& node, const std::string& key,
                 const Range& range = {});
int integer_of(const TomlFile& file, const TomlNode& node, const std::string& key,
               const Range& range = {});
bool flag_of(const TomlFile& file, const TomlNode& node, const std::string& key);
const std::string& text_of(const TomlFile& file, const TomlNode& node, const std::string& key);
/// One of the words. @throws CaseError with the nearest one
const std::string& word_of(const TomlFile& file, const TomlNode& node, const std::string& key,
                           const std::vector<std::string>& words);
const std::vector<TomlNode>& items_of(const TomlFile& file, const TomlNode& node,
                                      const std::string& key);

/// Word of the list with the smallest edit distance, empty when none is near.
std::string nearest_word(std::string_view word, const std::vector<std::string>& words);

/// Reads one table, key by key. Keeps a reference to the file, which must outlive it.
class TableReader {
 public:
  explicit TableReader(const TomlFile& file);
  /// @param path of the table as the user knows it, "viscosity"; empty for the root
  TableReader(const TomlFile& file, const TomlNode& table, std::string path);

  bool has(std::string_view key) const;
  // With the value that stands for a missing key, or required: a missing key is a CaseError at the
  // table.
  double quantity(const std::string& key, Dimension dim, const Range& range = {});
  double quantity_or(const std::string& key, Dimension dim, double missing,
                     const Range& range = {});
  double number(const std::string& key, const Range& range = {});
  double number_or(const std::string& key, double missing, const Range& range = {});
  std::string text(const std::string& key);
  std::string text_or(const std::string& key, const std::string& missing);
  std::string word(const std::string& key, const std::vector<std::string>& words);
  bool flag_or(const std::string& key, bool missing);
  /// ["180 degC", "280 degC"]: lower then upper bound.
  std::pair<double, double> interval(const std::string& key, Dimension dim,
                                     const Range& range = {});
  /// [["27 degC", "1223 J/(kg K)"], …]
  std::vector<std::pair<double, double>> quantity_pairs(const std::string& key, Dimension first,
                                                        Dimension second);
  TableReader table(const std::string& key);
  std::optional<TableReader> table_if(const std::string& key);
  /// Value to look at by hand; counts as asked for. nullptr when missing.
  const TomlNode* node(const std::string& key);

  /// Refuses keys that nobody asked for. @throws CaseError with the nearest known key
  void finish() const;
  CaseError error(const std::string& key, const std::string& what) const;
  std::string full_key(std::string_view key) const;

 private:
  const TomlNode& required(const std::string& key);
  const TomlFile* file_;
  const TomlNode* table_;
  std::string path_;
  std::vector<std::string> asked_;
};

}  // namespace firstshot
