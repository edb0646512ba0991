// The one table of all keys a case file may hold. It drives the reader, the defaults, `explain`,
// the reference page and the JSON Schema; a key that is not here does not exist.
//
// Paths are written as in the file with "[]" for lists of tables: "process.melt_temperature",
// "layout.part[].thickness". A layout file holds the keys below "layout." without that word.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "io/toml_reader.hpp"
#include "io/units.hpp"

namespace firstshot {

enum class ValueKind {
  quantity,    ///< text with unit
  number,      ///< bare number without dimension
  integer,     ///< whole number
  flag,        ///< true or false
  text,        ///< any text
  word,        ///< one of `words`
  file,        ///< path relative to the case file
  card,        ///< name of a card that comes with the program, or path of one
  direction,   ///< "x", "y", "z" or [x, y, z]
  quantities,  ///< ["3 mm", "1 mm", …]
  point,       ///< [x, y] in the unit of the layout
  extent,      ///< [width, height] in the unit of the layout, both more than 0
  places,      ///< [[x, y]] or [[x, y], [x, y]]
  line,        ///< [[x, y], [x, y]], two different points
  points,      ///< [[x, y], …], at least 2
  polygon,     ///< [[x, y], [x, y, bulge], …]
  pairs,       ///< [["first", "second"], …], quantities of `dimension` and `second`
  table,       ///< keys below it
  tables       ///< list of tables, keys below "path[]"
};

inline constexpr std::array<std::string_view, 3> kAccuracyLevels{"preview", "default", "fine"};

struct KeySpec {
  std::string path = {};
  ValueKind kind = ValueKind::quantity;
  Dimension dimension = Dimension::ratio;  ///< of a quantity, or of the first of each pair
  Dimension second = Dimension::ratio;     ///< of the second of each pair
  Range range = {};                        ///< in the unit of the dimension
  Range second_range = {};
  bool required = false;
  std::string default_value = {};            ///< as inside the quotes of the file; empty: none
  std::array<std::string, 3> by_level = {};  ///< default for each of kAccuracyLevels
  std::string default_note = {};             ///< in words, where it depends on other things
  std::vector<std::string> words = {};       ///< a quantity with words may be one of them instead
  std::string help = {};                     ///< one or two sentences
};

/// Keys of one table of which at most one may stand, exactly one when `required`.
struct KeyGroup {
  std::string parent;  ///< pattern of the table, "process"
  std::vector<std::string> keys;
  bool required = false;
};

/// All keys in the order of the reference page; parents before children.
const std::vector<KeySpec>& case_keys();
const std::vector<KeyGroup>& case_key_groups();

/// Spec of exactly this path, nullptr when there is none.
const KeySpec* find_key(std::string_view path);
/// Table that holds a key: "layout.part[].thickness" → "layout.part[]", "title" → "".
std::string parent_pattern(std::string_view path);
/// "layout.part[].thickness" → "thickness", "layout.part" → "part".
std::string last_name(std::string_view path);
/// Specs whose parent is this pattern, in table order.
std::vector<const KeySpec*> keys_of_table(std::string_view pattern);

// The sections of the table, one source file each (case_keys.cpp joins them).
std::vector<KeySpec> general_keys();
std::vector<KeySpec> solid_keys();
std::vector<KeySpec> cutter_keys();
std::vector<KeySpec> drawing_keys();
std::vector<KeySpec> layout_keys();
std::vector<KeySpec> process_keys();
std::vector<KeySpec> air_keys();
std::vector<KeySpec> limit_keys();
/// Keys of cooling and cycle that belong to the table `table`: "material", "press" or "process".
std::vector<KeySpec> cycle_keys_of(std::string_view table);
std::vector<KeySpec> mould_keys();
std::vector<KeySpec> closed_keys();
std::vector<KeySpec> cost_keys();
std::vector<KeySpec> accuracy_keys();
/// Keys of a runner's cross section. @param section path of its table @param needed whether it must
/// stand
std::vector<KeySpec> section_keys(const std::string& section, bool needed);
std::vector<KeyGroup> layout_groups();
std::vector<KeyGroup> process_groups();

}  // namespace firstshot
