// What a sparse symmetric matrix becomes when its columns are eliminated one after another: the
// tree that says which column waits for which, the columns that share one pattern below them
// (supernodes), and pieces of the tree that do not depend on each other. Patterns come as rows:
// `left` holds for each row k the columns i < k of its entries, from start[k] to start[k + 1].
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace firstshot {

/// Pattern of the lower triangle without its diagonal, row by row.
struct LowerRows {
  std::span<const int> start;  ///< (n + 1)
  std::span<const int> left;   ///< columns of each row, in any order
  int size() const { return static_cast<int>(start.size()) - 1; }
};

/// First row that each column passes a change on to, -1 for a root (n).
std::vector<int> elimination_tree(const LowerRows& rows);

/// Order of the columns that leaves the fill as it is and puts every subtree in one piece:
/// order[new place] = old place (n).
std::vector<int> post_order(std::span<const int> parent);

/// Columns side by side with one pattern of rows below them; where that differs by little, zeros
/// are stored. Blocks of rows are dense: block `s` has columns first[s] … first[s + 1] - 1.
struct Supernodes {
  std::vector<int> first;        ///< (n_supernodes + 1)
  std::vector<int> of_column;    ///< (n)
  std::vector<int> row_start;    ///< (n_supernodes + 1)
  std::vector<int> rows;         ///< rows below each block, rising
  std::vector<int> up;           ///< (n_supernodes) block of the first row below, -1 for a root
  std::vector<int> place;        ///< of each row below within the block `up`: columns, then rows
  std::vector<int> piece_first;  ///< (n_pieces) first block of each piece that depends on no other
  std::vector<int> piece_last;   ///< (n_pieces) one past its last block
  std::vector<int> top;          ///< blocks that depend on the pieces, rising
  int count() const { return static_cast<int>(first.size()) - 1; }
  int width(int s) const { return first[s + 1] - first[s]; }
  int height(int s) const { return row_start[s + 1] - row_start[s]; }
};

/// @param rows in post order: every subtree stands in one piece
Supernodes supernodes(const LowerRows& rows);

}  // namespace firstshot
