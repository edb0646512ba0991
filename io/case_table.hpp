// One table of a case or layout file, read through the table of keys: kinds, units, ranges and
// defaults all come from there. Used by the readers of the case only.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "io/case_keys.hpp"
#include "io/toml_reader.hpp"
#include "mesh/layout.hpp"
#include "mesh/model.hpp"

namespace firstshot {

/// Refuses unknown keys, missing keys and forbidden combinations in this table and all below it.
/// @param pattern of the table in the table of keys, "" for a case, "layout" for a layout file
/// @param shown the same as the user knows it, "part[2]" @throws CaseError at the first fault
void check_keys(const TomlFile& file, const TomlNode& table, const std::string& pattern,
                const std::string& shown);

class CaseTable {
 public:
  /// @param node nullptr when the table is not there: then every key has its default
  CaseTable(const TomlFile& file, const TomlNode* node, std::string pattern, std::string shown);

  bool has(std::string_view key) const { return node(key) != nullptr; }
  const TomlNode* node(std::string_view key) const;
  const TomlFile& file() const { return *file_; }

  // Value in the file or the default of the table of keys; a missing key without default is a
  // CaseError.
  double quantity(const std::string& key) const;
  double number(const std::string& key) const;
  int integer(const std::string& key) const;
  bool flag(const std::string& key) const;
  std::string text(const std::string& key) const;
  std::string word(const std::string& key) const;
  // Value in the file, if it is there.
  std::optional<double> quantity_if(const std::string& key) const;
  std::optional<double> number_if(const std::string& key) const;
  std::optional<int> integer_if(const std::string& key) const;
  std::optional<bool> flag_if(const std::string& key) const;
  std::optional<std::string> text_if(const std::string& key) const;
  std::vector<std::pair<double, double>> pairs(const std::string& key) const;
  /// List of quantities, the default of the table of keys when it is not there.
  std::vector<double> quantities(const std::string& key) const;
  /// "x", "-z", ... or three bare numbers that are not all 0, if it is there.
  std::optional<Point3> direction_if(const std::string& key) const;

  /// Bare coordinates in `unit` [m]; the key must be there.
  Point point(const std::string& key, const std::string& unit) const;
  std::vector<Point> points(const std::string& key, const std::string& unit) const;
  std::vector<Corner> corners(const std::string& key, const std::string& unit) const;

  CaseTable table(const std::string& key) const;
  std::vector<CaseTable> tables(const std::string& key) const;
  CaseError error(const std::string& key, const std::string& what) const;
  /// Place as it goes into the values made from this table: "layout.toml:12:1".
  std::string origin() const;
  std::string shown_key(std::string_view key) const;

 private:
  const KeySpec& spec(const std::string& key) const;
  [[noreturn]] void throw_missing(const std::string& key) const;
  const TomlNode& required(const std::string& key) const;
  Point point_at(const TomlNode& node, const std::string& key, const std::string& unit,
                 std::size_t most) const;

  const TomlFile* file_;
  const TomlNode* node_;
  std::string pattern_;
  std::string shown_;
};

}  // namespace firstshot
