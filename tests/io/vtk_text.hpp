// VTK's own readers on a text in memory. Who calls them includes <vtkSmartPointer.h>.
#pragma once

#include <string>

template <class T>
class vtkSmartPointer;
class vtkPolyData;
class vtkUnstructuredGrid;

namespace firstshot::sample {

vtkSmartPointer<vtkUnstructuredGrid> read_grid(const std::string& text);
vtkSmartPointer<vtkPolyData> read_lines(const std::string& text);

}  // namespace firstshot::sample
