// Work in a process of its own, for libraries that may go down over a damaged file.
#pragma once

#include <functional>
#include <string>

namespace firstshot {

/// What `work` returns in a copy of this process; empty when the copy broke down, needed more
/// than `longest` seconds of computing, or returned nothing. What else `work` changes is lost with
/// the copy. To be called while no other thread runs. @throws Error when no process can be made
std::string answer_of_child(const std::function<std::string()>& work, unsigned longest);

}  // namespace firstshot
