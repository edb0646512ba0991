// Ctrl-C and a polite kill as a wish that a run can grant at the end of a step.
#pragma once

namespace firstshot {

/// While alive, SIGINT and SIGTERM set a flag instead of ending the program; a second signal of the
/// same kind ends it at once. At most one object at a time.
class StopRequest {
 public:
  StopRequest();
  ~StopRequest();
  StopRequest(const StopRequest&) = delete;
  StopRequest& operator=(const StopRequest&) = delete;

  /// 0 when nobody asked, otherwise the number of the signal.
  static int signal();
};

/// Exit code of a run that was stopped on request, as shells use it: 130 for SIGINT, 143 for
/// SIGTERM.
int exit_code_of_signal(int signal);

}  // namespace firstshot
