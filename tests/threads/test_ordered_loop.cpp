#include <algorithm>
#include <cstdint>
#include <numeric>
#include <vector>

#include <catch2/catch.hpp>

#include "solver/numeric/ordered_loop.hpp"
#include "tests/threads/with_threads.hpp"

namespace firstshot::test {
namespace {

constexpr std::int32_t count = 5000;

/// Item k reads two earlier ones of the order, so that most items must be waited for.
std::vector<double> chained(const std::vector<std::int32_t>& order, int threads) {
  std::vector<std::int32_t> place(count);
  for (std::size_t at = 0; at < order.size(); ++at)
    place[order[at]] = static_cast<std::int32_t>(at);
  std::vector<double> value(count, 1.0);
  OrderedLoop items(count);
  const auto work = [&](OrderedLoop& loop) {
    for (auto mine = loop.next(); !mine.empty(); mine = loop.next())
      for (const std::int32_t item : mine) {
        for (const std::int32_t back : {1, 7}) {
          if (place[item] < back) continue;
          const std::int32_t earlier = order[place[item] - back];
          loop.wait_for(earlier);
          value[item] = 0.75 * value[item] + 0.5 * value[earlier] * (1.0 - 0.3 * value[earlier]);
        }
        loop.end(item);
      }
  };
  with_threads(threads, [&] { items.run(order, work); });
  return value;
}

}  // namespace

TEST_CASE("items that read earlier ones come out alike with any number of threads", "[threads]") {
  std::vector<std::int32_t> order(count);
  std::iota(order.begin(), order.end(), 0);
  std::reverse(order.begin(), order.end());
  const std::vector<double> one = chained(order, 1);
  for (const int threads : {2, 3, 8})
    for (int again = 0; again < 5; ++again) REQUIRE(chained(order, threads) == one);
}

TEST_CASE("a loop over some of the items does each once and waits for no other", "[threads]") {
  std::vector<std::int32_t> even;
  for (std::int32_t i = 0; i < count; i += 2) even.push_back(i);
  for (const int threads : {1, 2, 8}) {
    std::vector<int> done(count, 0);
    OrderedLoop items(count);
    const auto work = [&](OrderedLoop& loop) {
      for (auto mine = loop.next(); !mine.empty(); mine = loop.next())
        for (const std::int32_t item : mine) {
          loop.wait_for(item + 1);  // odd: none of this loop
          ++done[item];
          loop.end(item);
        }
    };
    with_threads(threads, [&] {
      items.run(even, work);
      items.run(even, work);  // it can be used again
    });
    for (std::int32_t i = 0; i < count; ++i) REQUIRE(done[i] == (i % 2 == 0 ? 2 : 0));
  }
}

}  // namespace firstshot::test
