#include <atomic>
#include <stdexcept>
#include <thread>
#include <vector>

#include <catch2/catch.hpp>

#include "solver/numeric/background.hpp"
#include "tests/threads/with_threads.hpp"

namespace firstshot::test {

TEST_CASE("tasks beside the solution are done once each, in their order", "[threads]") {
  for (const int threads : {1, 2}) {
    std::vector<int> done;
    with_threads(threads, [&] {
      BackgroundTasks tasks(2);
      for (int i = 0; i < 100; ++i) tasks.add([&done, i] { done.push_back(i); });
      tasks.wait();
    });
    REQUIRE(done.size() == 100);
    for (int i = 0; i < 100; ++i) CHECK(done[static_cast<std::size_t>(i)] == i);
  }
}

TEST_CASE("with several threads a task does not hold up the calling one", "[threads]") {
  with_threads(2, [] {
    std::atomic<bool> go{false};
    BackgroundTasks tasks(1);
    std::thread::id by;
    tasks.add([&] {
      by = std::this_thread::get_id();
      while (!go.load()) std::this_thread::yield();
    });
    go.store(true);  // comes here while the task still runs
    tasks.wait();
    CHECK(by != std::this_thread::get_id());
  });
}

TEST_CASE("what a task throws reaches who gives the next one or waits; later ones are dropped",
          "[threads]") {
  for (const int threads : {1, 2}) {
    with_threads(threads, [] {
      BackgroundTasks tasks(8);
      bool later = false;
      CHECK_THROWS_AS(
          [&] {
            tasks.add([] { throw std::runtime_error("full"); });
            tasks.add([&] { later = true; });
            tasks.wait();
          }(),
          std::runtime_error);
      CHECK_FALSE(later);
      tasks.wait();  // told once
    });
  }
}

TEST_CASE("what was given is done before the tasks go out of scope", "[threads]") {
  int done = 0;
  with_threads(2, [&] {
    BackgroundTasks tasks(8);
    for (int i = 0; i < 8; ++i) tasks.add([&] { ++done; });
  });
  CHECK(done == 8);
}

}  // namespace firstshot::test
