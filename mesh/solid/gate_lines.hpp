// Gates found on a solid as 1D elements, as gates of layouts are: the piece of melt between the two
// cuts is taken out of the mesh, its ends become mouths in runner and part, and the channel between
// them has the sections that were measured. So a gate freezes by one and the same physics whichever
// way the frame was drawn; as triangles, the four columns across it mixed with the thick walls
// beside it, and its last open way closed up to five times too late.
#pragma once

#include <vector>

#include "mesh/joints.hpp"
#include "mesh/model.hpp"
#include "mesh/solid/roles.hpp"

namespace firstshot {

/// A gate that is cut out of the mesh; its cuts end in points of the outline.
struct OpenGate {
  std::size_t gate = 0;  ///< index into Roles::gates
  Cut start, end;        ///< at the runner, at the part
};

/// Draws the cuts of all gates into the loops and adds them to `cuts`. A gate whose cuts touch
/// each other has no piece between them: it stays in the mesh with one cut.
std::vector<OpenGate> cut_gates(std::vector<PlanLoop>& loops, const Roles& roles,
                                std::vector<Cut>& cuts);

/// Adds a mouth at each end of each gate to the joints, and the gates to the layout of names.
void add_gate_mouths(const std::vector<OpenGate>& open, const Roles& roles, int across_gate,
                     Joints& joints, Layout& names);

/// Gives the elements of the gates the sections and lengths of the melt they stand for, and the
/// report what came out. Gates are the first channels of the model, in the order of `open`.
void lay_gate_sections(const RoleInput& in, const std::vector<OpenGate>& open, Model& model,
                       std::vector<GateFound>& found);

}  // namespace firstshot
