// Threads that help the calling thread with the pieces of a loop.
//
// Pieces are claimed one by one, also by the calling thread. It therefore never waits for a thread
// that the machine does not run just now, only for pieces that somebody works on: on a busy machine
// a loop is as fast as with one thread. With the barriers of an OpenMP runtime each loop waited for
// every thread to be scheduled, and two threads took 5 to 9 times as long as one.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <mutex>
#include <thread>
#include <vector>

namespace firstshot {

class ThreadPool {
 public:
  /// @param helpers threads beside the calling one, at least 0
  explicit ThreadPool(int helpers);
  ~ThreadPool();
  ThreadPool(const ThreadPool&) = delete;
  ThreadPool& operator=(const ThreadPool&) = delete;

  int helpers() const { return static_cast<int>(threads_.size()); }

  using Piece = void (*)(void* context, std::size_t piece);
  /// Calls work(context, i) for i = 0 … pieces-1, each once, and returns when all have ended.
  /// `work` must not throw. Only one thread may call at a time.
  void run(std::size_t pieces, void* context, Piece work);

  /// Whether the calling thread is inside a piece.
  static bool inside();

 private:
  struct Job;
  void help();
  std::shared_ptr<Job> current();

  std::vector<std::thread> threads_;
  std::mutex mutex_;
  std::shared_ptr<Job> job_;              // guarded by mutex_
  std::atomic<std::uint32_t> number_{0};  // of jobs so far
  std::atomic<bool> stop_{false};
};

}  // namespace firstshot
