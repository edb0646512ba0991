// Tasks that a thread of its own does beside the calling one, in their order: files of a run are
// compressed and written while the next steps are solved. With one thread (parallel.hpp) each task
// is done at once, on the calling thread.
#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <exception>
#include <functional>
#include <mutex>
#include <thread>

namespace firstshot {

class BackgroundTasks {
 public:
  /// @param most_waiting tasks that may wait, ≥ 1; the next one makes its giver wait
  explicit BackgroundTasks(std::size_t most_waiting) : most_waiting_(most_waiting) {}
  /// Ends what was given, and keeps its errors to itself.
  ~BackgroundTasks();
  BackgroundTasks(const BackgroundTasks&) = delete;
  BackgroundTasks& operator=(const BackgroundTasks&) = delete;

  /// Tasks are done beside the calling thread, so what they use must live on.
  static bool beside();
  /// @throws what an earlier task threw; it and all that was given after it are dropped then
  void add(std::function<void()> task);
  /// Returns when all tasks have ended. @throws what one of them threw
  void wait();

 private:
  void work();
  void throw_error();

  std::size_t most_waiting_;
  std::thread thread_;
  std::mutex mutex_;
  std::condition_variable change_;
  // Guarded by mutex_:
  std::deque<std::function<void()>> waiting_;
  bool working_ = false;
  bool stop_ = false;
  std::exception_ptr error_;
};

}  // namespace firstshot
