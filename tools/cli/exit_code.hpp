// Exit codes of the program; scripts rely on them.
#pragma once

namespace firstshot {

inline constexpr int exit_done = 0;  ///< the command did its work; a short shot is a result too
inline constexpr int exit_not_approved = 1;  ///< the verdict, when --strict asks for it
inline constexpr int exit_bad_input = 2;  ///< arguments, case, geometry, cards or folders are wrong
inline constexpr int exit_no_solution = 3;  ///< a step could not be solved
inline constexpr int exit_our_bug = 4;      ///< anything else: please report it

}  // namespace firstshot
