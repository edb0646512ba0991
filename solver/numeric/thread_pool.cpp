#include "solver/numeric/thread_pool.hpp"

#include <utility>

namespace firstshot {
namespace {

thread_local bool inside_piece = false;

/// How often a helper looks for the next loop before it goes to sleep: some tens of microseconds,
/// which bridges the way from one loop to the next and costs others nothing they would notice.
constexpr int looks_before_sleep = 40000;
/// How often the caller looks before it lets others run.
constexpr int looks_before_yield = 2000;

}  // namespace

/// Lives as long as anybody holds it; `context` is only touched for a piece that was claimed, and
/// the caller stays until all of those have ended.
struct ThreadPool::Job {
  Job(std::size_t n, void* c, Piece w) : pieces(n), context(c), work(w) {}
  std::size_t pieces;
  void* context;
  Piece work;
  std::atomic<std::size_t> next{0}, ended{0};

  void take_part() {
    inside_piece = true;
    for (std::size_t i = next.fetch_add(1); i < pieces; i = next.fetch_add(1)) {
      work(context, i);
      ended.fetch_add(1, std::memory_order_release);
    }
    inside_piece = false;
  }
  bool over() const { return ended.load(std::memory_order_acquire) == pieces; }
};

ThreadPool::ThreadPool(int helpers) {
  for (int i = 0; i < helpers; ++i) threads_.emplace_back([this] { help(); });
}

ThreadPool::~ThreadPool() {
  stop_.store(true);
  number_.fetch_add(1);
  number_.notify_all();
  for (std::thread& t : threads_) t.join();
}

bool ThreadPool::inside() { return inside_piece; }

std::shared_ptr<ThreadPool::Job> ThreadPool::current() {
  const std::lock_guard lock(mutex_);
  return job_;
}

void ThreadPool::run(std::size_t pieces, void* context, Piece work) {
  const auto job = std::make_shared<Job>(pieces, context, work);
  {
    const std::lock_guard lock(mutex_);
    job_ = job;
  }
  number_.fetch_add(1, std::memory_order_release);
  number_.notify_all();
  job->take_part();
  for (int look = 0; !job->over(); ++look)
    if (look > looks_before_yield) std::this_thread::yield();
}

void ThreadPool::help() {
  std::uint32_t seen = 0;
  while (!stop_.load()) {
    std::uint32_t now = number_.load(std::memory_order_acquire);
    for (int look = 0; now == seen && look < looks_before_sleep; ++look)
      now = number_.load(std::memory_order_acquire);
    if (now == seen) {
      number_.wait(seen);
      continue;
    }
    seen = now;
    if (const auto job = current()) job->take_part();
  }
}

}  // namespace firstshot
