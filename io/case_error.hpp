// Wrong input in a file that a person wrote: where it stands, which key, what is wrong and what is
// allowed.
#pragma once

#include <string>

#include "mesh/error.hpp"

namespace firstshot {

/// what() reads "file:line:column: key: what is wrong, what is allowed", followed by the line of
/// the file and a caret under the wrong value when the line is known.
class CaseError : public Error {
 public:
  struct Where {
    std::string file;
    int line = 0;    ///< from 1, 0 = no line
    int column = 0;  ///< in characters from 1, 0 = no column
    std::string key;
    std::string source_line;  ///< text of that line, may be empty
  };
  CaseError(const Where& where, const std::string& what);

  const std::string& file() const { return where_.file; }
  int line() const { return where_.line; }
  int column() const { return where_.column; }
  const std::string& key() const { return where_.key; }
  /// The sentence alone, without place and source line.
  const std::string& reason() const { return reason_; }

 private:
  Where where_;
  std::string reason_;
};

}  // namespace firstshot
