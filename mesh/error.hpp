// Errors that a user can cause. Everything thrown across a layer border derives from Error, so that
// the program maps it to an exit code in one place. A short shot or an overloaded press is a
// result, never an error.
#pragma once

#include <stdexcept>
#include <string>

namespace firstshot {

/// Base of all errors that bad input or an unsolvable case can cause.
class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// Wrong shape; carries the place in the plane of the frame [m].
class GeometryError : public Error {
 public:
  /// @param what one sentence: what is wrong, what is allowed
  /// @param x, y place of the fault [m]; the message shows it in mm
  GeometryError(const std::string& what, double x, double y);
  double x() const { return x_; }
  double y() const { return y_; }

 private:
  double x_;
  double y_;
};

}  // namespace firstshot
