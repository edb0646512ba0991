// Which troubles a further gate has cured.
#include <catch2/catch.hpp>

#include "tools/cli/gate_troubles.hpp"

namespace firstshot::test {
namespace {

constexpr double mm = 1e-3;

Trouble air(const std::string& part, double x, double y) {
  return {part, part + " at " + std::to_string(x), {x * mm, y * mm}, true};
}
Trouble lacking(const std::string& part, double x) {
  return {part, part + " stays short", {x * mm, 0.0}, false};
}

std::vector<std::string> words(const std::vector<Trouble>& list) {
  std::vector<std::string> all;
  for (const Trouble& t : list) all.push_back(t.words);
  return all;
}

using Words = std::vector<std::string>;

}  // namespace

TEST_CASE("a pocket that only moved is not cured", "[cli][balance]") {
  CHECK(gone({air("deck", 10, 0)}, {air("deck", 55, 20)}).empty());
  CHECK(gone({air("deck", 10, 0)}, {air("deck", 55, 20), air("deck", 12, 0)}).empty());
  CHECK(gone({lacking("deck", 10)}, {lacking("deck", 40)}).empty());
}

TEST_CASE("of two pockets the one is cured that none of what is left is nearest to",
          "[cli][balance]") {
  const Trouble near = air("deck", 10, 0), far = air("deck", 60, 0);
  CHECK(words(gone({near, far}, {air("deck", 50, 5)})) == Words{near.words});
  CHECK(words(gone({near, far}, {air("deck", 20, 5)})) == Words{far.words});
}

TEST_CASE("what a part has instead of its trouble, or another part has, leaves it cured",
          "[cli][balance]") {
  CHECK(words(gone({lacking("deck", 10)}, {air("deck", 10, 0)})) == Words{"deck stays short"});
  const Trouble pocket = air("deck", 10, 0);
  CHECK(words(gone({pocket}, {air("mast", 10, 0)})) == Words{pocket.words});
  CHECK(words(gone({pocket}, {})) == Words{pocket.words});
}

}  // namespace firstshot::test
