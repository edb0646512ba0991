#include "io/case_keys.hpp"

#include <algorithm>
#include <iterator>
#include <map>

namespace firstshot {
namespace {

template <class T>
void append(std::vector<T>& to, std::vector<T> from) {
  to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
}

using Index = std::map<std::string, std::vector<const KeySpec*>, std::less<>>;

Index index_by(std::string (*name)(const KeySpec&)) {
  Index index;
  for (const KeySpec& spec : case_keys()) index[name(spec)].push_back(&spec);
  return index;
}

}  // namespace

const std::vector<KeySpec>& case_keys() {
  static const std::vector<KeySpec> keys = [] {
    std::vector<KeySpec> all = general_keys();
    append(all, solid_keys());
    append(all, drawing_keys());
    append(all, process_keys());
    append(all, air_keys());
    append(all, closed_keys());
    append(all, mould_keys());
    append(all, cost_keys());
    append(all, limit_keys());
    append(all, accuracy_keys());
    append(all, cutter_keys());
    append(all, layout_keys());
    return all;
  }();
  return keys;
}

const std::vector<KeyGroup>& case_key_groups() {
  static const std::vector<KeyGroup> groups = [] {
    std::vector<KeyGroup> all = process_groups();
    append(all, layout_groups());
    return all;
  }();
  return groups;
}

const KeySpec* find_key(std::string_view path) {
  static const Index index = index_by([](const KeySpec& spec) { return spec.path; });
  const auto it = index.find(path);
  return it == index.end() ? nullptr : it->second.front();
}

std::string parent_pattern(std::string_view path) {
  const std::size_t dot = path.rfind('.');
  return dot == std::string_view::npos ? std::string() : std::string(path.substr(0, dot));
}

std::string last_name(std::string_view path) {
  const std::size_t dot = path.rfind('.');
  return std::string(dot == std::string_view::npos ? path : path.substr(dot + 1));
}

std::vector<const KeySpec*> keys_of_table(std::string_view pattern) {
  static const Index index =
      index_by([](const KeySpec& spec) { return parent_pattern(spec.path); });
  const auto it = index.find(pattern);
  return it == index.end() ? std::vector<const KeySpec*>{} : it->second;
}

}  // namespace firstshot
