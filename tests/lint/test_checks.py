#!/usr/bin/python3
"""The checks of tools/dev on small trees: each fault is found at its line, and good code passes."""
import json
import os
import shutil
import subprocess
import sys
import tempfile
import unittest

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), "..", ".."))
SOURCES = "# Developers\n\n## Sources\n\n- [Cross1965] A paper.\n- [ISO1133] A standard.\n\n## Next\n\n- [Later2000] no source.\n"


class Tree:
    """A throw-away project tree."""

    def __enter__(self):
        self.root = tempfile.mkdtemp()
        return self

    def __exit__(self, *_):
        shutil.rmtree(self.root)

    def write(self, path, text):
        full = os.path.join(self.root, path)
        os.makedirs(os.path.dirname(full), exist_ok=True)
        with open(full, "w", encoding="utf-8") as file:
            file.write(text)
        return self

    def check(self, name):
        """Exit code and output of tools/dev/check_<name>.py on this tree."""
        script = os.path.join(ROOT, "tools", "dev", f"check_{name}.py")
        env = dict(os.environ, PYTHONDONTWRITEBYTECODE="1", GIT_CEILING_DIRECTORIES=os.path.dirname(self.root))
        run = subprocess.run(["/usr/bin/python3", script, self.root], env=env, check=False, capture_output=True, text=True)
        return run.returncode, run.stdout + run.stderr


class Layers(unittest.TestCase):
    def fault(self, path, text, expected):
        with Tree() as tree:
            code, out = tree.write(path, text).check("layers")
            self.assertEqual(code, 1, out)
            self.assertIn(expected, out)

    def passes(self, path, text):
        with Tree() as tree:
            code, out = tree.write(path, text).check("layers")
            self.assertEqual(code, 0, out)

    def test_upward_include_between_layers(self):
        self.fault("mesh/a.hpp", '#pragma once\n#include "solver/setup.hpp"\n', "mesh/a.hpp:2: includes")
        self.fault("solver/flow/a.cpp", '#include "io/case.hpp"\n', "solver must not use io")
        self.fault("io/a.cpp", '#include "tools/cli/x.hpp"\n', "io must not use tools")
        self.fault("tools/a.cpp", '#include "tests/x.hpp"\n', "tools must not use tests")

    def test_upward_include_inside_solver(self):
        self.fault("solver/numeric/a.cpp", '#include "solver/material/material.hpp"\n', "numeric must not use material")
        self.fault("solver/flow/a.cpp", '#include "solver/heat/column.hpp"\n', "flow must not use heat")
        self.fault("solver/stage/a.cpp", '#include "solver/whole/result.hpp"\n', "stage must not use whole")
        self.fault("solver/setup.hpp", '#include "solver/stage/state.hpp"\n', "setup.hpp must not use stage")
        self.fault("solver/pool/a.cpp", "int a;\n", "lies in no room")

    def test_relative_include(self):
        self.fault("mesh/a.cpp", '#include "layout.hpp"\n', "name our headers from the root")

    def test_header_that_no_list_installs(self):
        with Tree() as tree:
            tree.write("mesh/CMakeLists.txt", "target_sources(mesh FILES\n    a.hpp\n)\n").write("mesh/a.hpp", "#pragma once\n")
            self.assertEqual(tree.check("layers")[0], 0)
            code, out = tree.write("mesh/b.hpp", "#pragma once\n").check("layers")
            self.assertEqual(code, 1, out)
            self.assertIn("mesh/b.hpp:1: missing from the headers", out)

    def test_a_test_may_name_the_helper_beside_it(self):
        self.passes("tests/mesh/test_a.cpp", '#include "samples.hpp"\n')
        self.fault("tests/mesh/test_a.cpp", '#include "../mesh/samples.hpp"\n', "name our headers from the root")

    def test_downward_includes_pass(self):
        self.passes("solver/stage/fill.cpp", '#include "mesh/model.hpp"\n#include "solver/heat/column.hpp"\n#include <vector>\n')
        self.passes("tests/io/test_a.cpp", '#include "tools/cli/x.hpp"\n#include <hdf5.h>\n#include <iostream>\n')

    def test_libraries_stay_in_their_room_and_out_of_headers(self):
        self.fault("io/a.hpp", "#include <toml++/toml.h>\n", "in .cpp files only")
        self.fault("solver/flow/a.cpp", "#include <hdf5.h>\n", "allowed in io/")
        self.fault("io/a.hpp", "#include <vtkPoints.h>\n", "in .cpp files only")
        self.fault("mesh/a.cpp", "#include <gp_Pnt.hxx>\\n", "allowed in io/")
        self.fault("solver/flow/a.cpp", "#include <CGAL/Polygon_2.h>\n", "allowed in mesh/")
        self.passes("io/a.cpp", "#include <toml++/toml.h>\n#include <hdf5.h>\n#include <vtkPoints.h>\n")

    def test_openmp_stays_in_the_benchmark(self):
        self.fault("solver/flow/a.cpp", "#include <omp.h>\n", "allowed in tools/bench/")
        self.fault("solver/flow/a.cpp", "void f() {\n  #pragma omp parallel for\n}\n", "a.cpp:2: #pragma omp")
        self.fault("tools/cli/a.cpp", "void f() { omp_set_num_threads(2); }\n", "OpenMP stays")
        self.passes("tools/bench/a.cpp", "#include <omp.h>\nvoid f() {\n  #pragma omp parallel for\n}\n")

    def test_no_files_no_screen_below_io(self):
        self.fault("mesh/a.cpp", "#include <fstream>\n", "open no file")
        self.fault("solver/flow/a.cpp", "#include <iostream>\n", "print nothing")
        self.fault("mesh/a.cpp", "void f() { std::cout << 1; }\n", "only tools print")
        self.fault("mesh/a.cpp", 'void f() {\n  printf("x");\n}\n', "mesh/a.cpp:2")
        self.fault("solver/flow/a.cpp", 'auto g() { return fopen("x", "r"); }\n', "open no file")
        self.fault("io/a.cpp", "void f() { std::cerr << 1; }\n", "only tools print")
        self.fault("io/a.cpp", "void f() { std::abort(); }\n", "only tools end")
        self.passes("io/a.cpp", "#include <fstream>\nstd::ifstream f;\n")
        self.passes("tools/cli/a.cpp", "#include <iostream>\nint main() { std::cout << 1; }\n")
        self.passes("mesh/a.cpp", "#include <cstdio>\nvoid f(char* c) { std::snprintf(c, 3, \"%d\", 1); }\n")

    def test_comments_and_strings_do_not_count(self):
        self.passes("mesh/a.cpp", '// std::cout printf( #include "io/a.hpp"\n/*\n#include <iostream>\n*/\n'
                                  'const char* s = "printf(\\" std::cout";\nconst char* r = R"(std::cerr fopen()";\nint n = 1\'000;\n')

    def test_empty_tree_is_a_fault(self):
        with Tree() as tree:
            self.assertEqual(tree.check("layers")[0], 1)


class Cites(unittest.TestCase):
    def run_on(self, comment, developers=SOURCES):
        with Tree() as tree:
            if developers:
                tree.write("DEVELOPERS.md", developers)
            return tree.write("mesh/a.hpp", f"// one\n{comment}\n").check("cites")

    def test_known_keys_pass(self):
        for text in ("// Cross law [Cross1965] eq. (7)", "/* [Cross1965, ISO1133] */", "// [ISO1133; Cross1965]"):
            self.assertEqual(self.run_on(text)[0], 0, text)

    def test_unknown_keys_are_found_with_their_line(self):
        for text in ("// [Nobody1999]", "/// [Cross1965, Nobody1999]", "/* [Nobody1999] */", "int a;  ///< [Nobody1999]"):
            code, out = self.run_on(text)
            self.assertEqual(code, 1, text)
            self.assertIn("mesh/a.hpp:2: [Nobody1999]", out)
        self.assertEqual(self.run_on("// [TadmorGogos]")[0], 1)

    def test_keys_outside_the_sources_section_do_not_count(self):
        self.assertEqual(self.run_on("// [Later2000]")[0], 1)

    def test_units_and_code_are_no_keys(self):
        for text in ("double a;  ///< [Pa s], [MPa], [W/(m K)], (n_nodes) [K]", 'auto s = "[Nobody1999]";', "[[nodiscard]] int f();"):
            self.assertEqual(self.run_on(text)[0], 0, text)

    def test_missing_list_and_double_entries_are_faults(self):
        self.assertEqual(self.run_on("// nothing", developers=None)[0], 1)
        self.assertEqual(self.run_on("// nothing", developers="# Developers\n")[0], 1)
        code, out = self.run_on("// nothing", developers=SOURCES.replace("- [ISO", "- [Cross1965] again.\n- [ISO"))
        self.assertEqual(code, 1)
        self.assertIn("twice", out)


class SizeAndFormat(unittest.TestCase):
    def test_long_files_are_faults_except_in_tests(self):
        for path, lines, expected in (("mesh/a.hpp", 151, 1), ("mesh/a.hpp", 150, 0), ("mesh/a.cpp", 401, 1),
                                      ("mesh/a.cpp", 400, 0), ("tests/mesh/a.cpp", 900, 0)):
            with Tree() as tree:
                self.assertEqual(tree.write(path, "\n" * lines).check("size")[0], expected, (path, lines))

    @unittest.skipUnless(shutil.which("clang-format-14"), "clang-format-14 is not installed")
    def test_badly_formatted_code_is_a_fault(self):
        style = "BasedOnStyle: Google\nColumnLimit: 100\n"
        for text, expected in (("int  a ;\n", 1), ("int a;\n", 0)):
            with Tree() as tree:
                code, out = tree.write(".clang-format", style).write("mesh/a.cpp", text).check("format")
                self.assertEqual(code, expected, out)


class SumTests(unittest.TestCase):
    CASES = {"run": '<testcase name="a" status="run"/>', "fail": '<testcase name="b" status="fail"/>',
             "skipped": '<testcase name="c" status="notrun"><skipped message="SKIP_RETURN_CODE=77"/></testcase>',
             "not started": '<testcase name="d" status="notrun"><skipped message="Unable to find executable"/></testcase>'}

    def sum_of(self, *cases, broken=0):
        """Exit code and last line for a report with these cases."""
        with Tree() as tree:
            tree.write("report.xml", "<testsuite>" + "".join(self.CASES[c] for c in cases) + "</testsuite>")
            script = os.path.join(ROOT, "tools", "dev", "sum_tests.py")
            run = subprocess.run(["/usr/bin/python3", "-B", script, "--broken", str(broken), os.path.join(tree.root, "report.xml")],
                                 check=False, capture_output=True, text=True)
            return run.returncode, run.stdout.splitlines()[-1]

    def test_what_ran_is_counted(self):
        self.assertEqual(self.sum_of("run", "run"), (0, "2 passed, 0 failed"))
        self.assertEqual(self.sum_of("run", "fail"), (1, "1 passed, 1 failed"))
        self.assertEqual(self.sum_of("run", "skipped"), (0, "1 passed, 0 failed"))

    def test_what_could_not_start_and_steps_that_broke_have_failed(self):
        self.assertEqual(self.sum_of("run", "not started"), (1, "1 passed, 1 failed"))
        self.assertEqual(self.sum_of("run", broken=2), (1, "1 passed, 2 failed"))
        self.assertEqual(self.sum_of(), (1, "0 passed, 0 failed"))


class Headers(unittest.TestCase):
    def run_on(self, source, header="int good();\n"):
        """Exit code and output for mesh/a.cpp with this text and mesh/a.hpp."""
        with Tree() as tree:
            tree.write("mesh/a.hpp", header).write("mesh/a.cpp", source)
            entry = {"directory": tree.root, "file": os.path.join(tree.root, "mesh/a.cpp"),
                     "command": f"/usr/bin/c++ -I{tree.root} -Wall -Werror -o a.o -c mesh/a.cpp"}
            tree.write("build/compile_commands.json", json.dumps([entry]))
            script = os.path.join(ROOT, "tools", "dev", "check_headers.py")
            run = subprocess.run(["/usr/bin/python3", "-B", script, "--root", tree.root, os.path.join(tree.root, "build")],
                                 check=False, capture_output=True, text=True)
            return run.returncode, run.stdout + run.stderr

    def test_a_header_that_its_source_includes_first_is_proved_by_the_build(self):
        code, out = self.run_on('// Why.\n#include "mesh/a.hpp"\n#include <string>\n', "std::string bad();\n")
        self.assertEqual(code, 0, out)
        self.assertIn("1 proved by their own sources, 0 compiled alone", out)

    def test_any_other_header_is_compiled_alone(self):
        later = '#include <string>\n#include "mesh/a.hpp"\n'
        self.assertEqual(self.run_on(later, "#pragma once\n#include <string>\nstd::string good();\n")[0], 0)
        code, out = self.run_on(later, "#pragma once\nstd::string bad();\n")
        self.assertEqual(code, 1, out)
        self.assertIn("mesh/a.hpp: does not compile alone", out)
        code, out = self.run_on("int a;\n", "struct Twice {};\n")  # no guard against a second inclusion
        self.assertEqual(code, 1, out)


@unittest.skipUnless(shutil.which("clang-tidy-14"), "clang-tidy-14 is not installed")
class Tidy(unittest.TestCase):
    def run_on(self, tree):
        script = os.path.join(ROOT, "tools", "dev", "check_tidy.py")
        run = subprocess.run(["/usr/bin/python3", "-B", script, "--root", tree.root, os.path.join(tree.root, "build")],
                             check=False, capture_output=True, text=True)
        return run.returncode, run.stdout + run.stderr

    def test_a_fault_is_found_again_and_again_and_a_clean_file_is_remembered(self):
        with Tree() as tree:
            shutil.copy(os.path.join(ROOT, ".clang-tidy"), tree.root)
            entry = {"directory": tree.root, "file": os.path.join(tree.root, "mesh/a.cpp"), "command": "c++ -c mesh/a.cpp"}
            tree.write("build/compile_commands.json", json.dumps([entry]))
            tree.write("mesh/a.hpp", "int badName();\n").write("mesh/a.cpp", '#include "../mesh/a.hpp"\n')
            for _ in range(2):
                code, out = self.run_on(tree)
                self.assertEqual(code, 1, out)
                self.assertIn("badName", out)
            tree.write("mesh/a.hpp", "int good_name();\n").write("mesh/a.cpp", '#include "mesh/a.hpp"\n')
            entry["command"] += " -I ."
            tree.write("build/compile_commands.json", json.dumps([entry]))
            self.assertIn("checked 1 files", self.run_on(tree)[1])
            code, out = self.run_on(tree)
            self.assertEqual(code, 0, out)
            self.assertIn("checked 0 files, 1 unchanged", out)
            tree.write("mesh/a.hpp", "int badName();\n")  # a header changes: its users are checked again
            self.assertEqual(self.run_on(tree)[0], 1)


if __name__ == "__main__":
    sys.exit(unittest.main())
