#include <catch2/catch.hpp>

#include "tools/bench/sample.hpp"

using namespace firstshot::bench;

TEST_CASE("the median of an odd and of an even number of runs", "[bench]") {
  CHECK(Sample{{3.0, 1.0, 2.0}}.median() == 2.0);
  CHECK(Sample{{4.0, 1.0, 2.0, 3.0}}.median() == 2.5);
}

TEST_CASE("the spread is the range over the median", "[bench]") {
  CHECK(Sample{{3.0, 1.0, 2.0}}.spread() == Approx(1.0));
  CHECK(Sample{{2.0}}.spread() == 0.0);
}

TEST_CASE("work is run once more than it is measured", "[bench]") {
  int count = 0;
  CHECK(measure(4, [&] { ++count; }).seconds.size() == 4);
  CHECK(count == 5);
}

TEST_CASE("times are written with three digits and the unit that fits", "[bench]") {
  CHECK(time_text(12.345) == "12.3 s");
  CHECK(time_text(0.012345) == "12.3 ms");
  CHECK(time_text(12.3e-6) == "12.3 us");
}

TEST_CASE("a table has one head and one line per row", "[bench]") {
  const std::string text =
      table_text({{"long name of a row", "1 s", 0.1, ""}, {"b", "2 s", 0.0, "2 x"}});
  CHECK(text ==
        "what                    median   spread  against\n"
        "long name of a row         1 s   10.0 %  \n"
        "b                          2 s    0.0 %  2 x\n");
}
