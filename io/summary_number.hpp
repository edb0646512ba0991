// Numbers of summary.json.
#pragma once

namespace firstshot {

/// The value with 9 significant digits: what a change of unit leaves behind is not shown.
double summary_number(double value);

}  // namespace firstshot
