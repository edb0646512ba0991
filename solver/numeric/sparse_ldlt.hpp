// L D Lᵀ of a sparse symmetric positive definite matrix by fronts: block by block of columns
// (elimination.hpp) the dense matrix over its columns and the rows below them gathers the entries
// of the matrix and what the blocks under it in the tree left over, eliminates its columns,
//
//   ( A  ·  )     L D Lᵀ = A,   M = B L⁻ᵀ D⁻¹,   C' = C - M D Mᵀ,
//   ( B  C  )
//
// and leaves C' to the block above. A right-hand side goes along as one more row, so that a
// solution costs the factorisation and one pass back. Subtrees do not touch each other: they go to
// the threads, and each block does the same sums in the same order whoever does it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "solver/numeric/elimination.hpp"

namespace firstshot {

class SparseLdlt {
 public:
  /// @param rows pattern in post order
  void set_pattern(const LowerRows& rows);

  /// Factorises and solves on the columns that take part; the others count as rows of the unit
  /// matrix with a right-hand side of 0, and subtrees without any cost nothing.
  /// @param left      entries of each row left of the diagonal, aligned with the pattern; 0 where
  ///                  one of both columns does not take part
  /// @param diagonal  (n); 1 where the column does not take part
  /// @param takes_part (n) 1 or 0
  /// @param x         (n) in: right-hand side; out: the solution
  /// @return false when a pivot is not positive
  bool solve(std::span<const double> left, std::span<const double> diagonal,
             std::span<const std::uint8_t> takes_part, std::span<double> x);

  /// Another right-hand side with the factor at hand.
  void solve_again(std::span<double> x) const;

  /// Numbers that the factor stores.
  std::size_t stored() const { return values_.size(); }

 private:
  struct Entries {
    std::span<const double> left, diagonal;
    std::span<double> x;
  };
  void find_active(std::span<const std::uint8_t> takes_part);
  void find_entries(const LowerRows& rows);
  void find_space();
  bool eliminate(int block, const Entries& in);
  void gather(int block, const Entries& in, double* left_over);
  bool factorise(int block, std::span<double> x);
  void back(int block, std::span<double> x, std::vector<double>& right) const;
  void backward(std::span<double> x) const;
  template <class F>
  void for_pieces(F&& f) const;

  Supernodes blocks_;
  std::vector<int> child_, sibling_;   // (n_blocks) first block under each, the next one beside it
  std::vector<std::size_t> at_;        // (n_blocks + 1) first number of each block
  std::vector<double> values_;         // (columns + rows below) by columns, column after column
  std::vector<double> pivot_inverse_;  // (n) 1 / D
  std::vector<std::uint8_t> active_;   // (n_blocks) some column in it or under it takes part
  std::vector<std::uint8_t> trivial_;  // (n_blocks) none of its own columns does
  std::vector<int> entry_start_;       // (n_blocks + 1)
  std::vector<int> entry_;             // entries of each block in the pattern
  std::vector<int> entry_place_;       // where they go in the block
  // What a block leaves over, C' column after column, then its right-hand side: where it is made
  // and, on the place of what it has taken in, where it waits (n_blocks).
  std::vector<std::size_t> made_at_, waits_at_;
  std::vector<double> space_;
};

}  // namespace firstshot
