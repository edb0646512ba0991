#include "tests/io/vtk_text.hpp"

#include <vtkNew.h>
#include <vtkPolyData.h>
#include <vtkSmartPointer.h>
#include <vtkUnstructuredGrid.h>
#include <vtkXMLPolyDataReader.h>
#include <vtkXMLUnstructuredGridReader.h>

namespace firstshot::sample {
namespace {

template <class Reader>
auto parsed(const std::string& text) {
  vtkNew<Reader> reader;
  reader->ReadFromInputStringOn();
  reader->SetInputString(text);
  reader->Update();
  return vtkSmartPointer(reader->GetOutput());
}

}  // namespace

vtkSmartPointer<vtkUnstructuredGrid> read_grid(const std::string& text) {
  return parsed<vtkXMLUnstructuredGridReader>(text);
}

vtkSmartPointer<vtkPolyData> read_lines(const std::string& text) {
  return parsed<vtkXMLPolyDataReader>(text);
}

}  // namespace firstshot::sample
