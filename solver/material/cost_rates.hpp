// Prices and rates of a shop, as given by the user.
#pragma once

#include <string>

namespace firstshot {

/// What a shop reckons with; prices in its own currency.
struct CostRates {
  std::string currency;
  double material = 0.0, masterbatch = 0.0;    ///< [1/kg]
  double regrind = 0.0;                        ///< of grinding, per mass ground [1/kg]
  double drying = 0.0;                         ///< of what goes into the hopper [1/kg]
  double machine = 0.0, labour = 0.0;          ///< [1/h]
  double attendance = 1.0;                     ///< share of a person's time [-]
  double scrap = 0.0;                          ///< share of the shots [-] < 1
  double mould = 0.0;                          ///< price of the mould
  double volume = 0.0;                         ///< frames over which it is spread, 0: not given
  double sale = 0.0;                           ///< price of a frame, 0: not given
  double return_days = 0.0;                    ///< lost when the mould comes back
  double return_day = 0.0, return_work = 0.0;  ///< cost of such a day; of the work on the mould
  double return_share = 0.0;                   ///< of moulds that come back [-]
  bool operator==(const CostRates&) const = default;
};

}  // namespace firstshot
