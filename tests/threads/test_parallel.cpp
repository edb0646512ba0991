#include <atomic>
#include <cmath>
#include <set>
#include <stdexcept>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <catch2/catch.hpp>

#include "solver/numeric/parallel.hpp"
#include "tests/threads/with_threads.hpp"

namespace firstshot::test {
namespace {

constexpr std::size_t shared = small_loop + 7;  // not a multiple of any number of threads below

std::vector<double> uneven_values(std::size_t n) {
  std::vector<double> values(n);
  for (std::size_t i = 0; i < n; ++i) {
    const auto x = static_cast<double>(i);
    values[i] = std::sin(x) * std::pow(10.0, std::fmod(x, 17.0) - 8.0);
  }
  return values;
}

}  // namespace

TEST_CASE("a loop over threads does each item once", "[threads]") {
  for (const int threads : {1, 2, 3, 8}) {
    std::vector<int> done(shared, 0);
    with_threads(threads, [&] { parallel_for(shared, [&](std::size_t i) { ++done[i]; }); });
    CHECK(done == std::vector<int>(shared, 1));
  }
}

TEST_CASE("what other threads wrote is there after the loop", "[threads]") {
  // Each item waits for the others, so that no thread can do two of them.
  for (const int threads : {2, 3}) {
    const auto n = static_cast<std::size_t>(threads);
    std::vector<int> written(n, 0);
    std::vector<std::thread::id> by(n);
    for (int loop = 1; loop <= 50; ++loop) {
      std::atomic<int> begun{0};
      with_threads(threads, [&] {
        parallel_for(
            n,
            [&](std::size_t i) {
              begun.fetch_add(1, std::memory_order_relaxed);
              while (begun.load(std::memory_order_relaxed) < threads) std::this_thread::yield();
              written[i] = loop;
              by[i] = std::this_thread::get_id();
            },
            1);
      });
      REQUIRE(written == std::vector<int>(n, loop));
      REQUIRE(std::set<std::thread::id>(by.begin(), by.end()).size() == n);
    }
  }
}

TEST_CASE("chunks follow each other without gap, and small loops stay whole", "[threads]") {
  using Chunks = std::vector<std::pair<std::size_t, std::size_t>>;
  const auto chunks = [](int threads, std::size_t n) {
    std::vector<std::size_t> end_at(n, 0);  // each chunk writes at its own begin
    with_threads(threads, [&] {
      parallel_chunks(n, [&](std::size_t begin, std::size_t end) { end_at[begin] = end; });
    });
    Chunks found;
    for (std::size_t i = 0; i < n && end_at[i] > 0; i = end_at[i]) found.push_back({i, end_at[i]});
    return found;
  };
  const Chunks eight = chunks(8, shared);
  CHECK(eight.size() > 1);  // as many as the length allows, so that each is worth its claim
  CHECK(eight.back().second == shared);
  CHECK(chunks(8, small_loop - 1) == Chunks{{0, small_loop - 1}});
  CHECK(chunks(1, shared) == Chunks{{0, shared}});
}

TEST_CASE("with more threads than items each item is still done once", "[threads]") {
  std::vector<int> done(3, 0);
  with_threads(8, [&] {
    parallel_for(
        3, [&](std::size_t i) { ++done[i]; }, 1);
  });
  CHECK(done == std::vector<int>(3, 1));
}

TEST_CASE("the sum has the same bits for any number of threads", "[threads]") {
  const std::vector<double> values = uneven_values(200'000);
  const double one = with_threads(1, [&] { return ordered_sum(values); });
  for (const int threads : {2, 3, 8})
    CHECK(with_threads(threads, [&] { return ordered_sum(values); }) == one);
}

TEST_CASE("of several exceptions in a loop the one of the lowest chunk comes out", "[threads]") {
  for (const int threads : {1, 2, 8}) {
    std::vector<int> done(shared, 0);
    std::string message;
    try {
      with_threads(threads, [&] {
        parallel_for(shared, [&](std::size_t i) {
          if (i == 5 || i == shared - 1) throw std::runtime_error(std::to_string(i));
          ++done[i];
        });
      });
    } catch (const std::runtime_error& error) {
      message = error.what();
    }
    CHECK(message == "5");
    // The other chunks went on to their end before the exception left.
    if (threads > 1) CHECK(done[shared - 2] == 1);
  }
}

TEST_CASE("a loop inside a loop stays on its thread", "[threads]") {
  std::vector<double> sums(4, 0.0);
  const std::vector<double> values = uneven_values(100'000);
  const double expected = ordered_sum(values);
  with_threads(2, [&] {
    parallel_for(
        sums.size(), [&](std::size_t i) { sums[i] = ordered_sum(values); }, 1);
  });
  CHECK(sums == std::vector<double>(4, expected));
}

}  // namespace firstshot::test
