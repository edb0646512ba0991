# cmake -DBUILD=<build folder> -DCONSUMER=<its source> -DSCRATCH=<folder> -DCOMPILER=<c++> -P install_and_consume.cmake
function(run what)
  execute_process(COMMAND ${ARGN} RESULT_VARIABLE code OUTPUT_VARIABLE text ERROR_VARIABLE text)
  if(NOT code EQUAL 0)
    message(FATAL_ERROR "${what} failed (${code}):\n${text}")
  endif()
  set(text "${text}" PARENT_SCOPE)
endfunction()

set(prefix ${SCRATCH}/prefix)
file(REMOVE_RECURSE ${prefix} ${SCRATCH}/consumer)
run("installing" ${CMAKE_COMMAND} --install ${BUILD} --prefix ${prefix})
foreach(file include/firstshot/mesh/model.hpp include/firstshot/solver/whole/run_case.hpp
             share/firstshot/materials/hips-8.toml share/firstshot/presses/press-60t.toml)
  if(NOT EXISTS ${prefix}/${file})
    message(FATAL_ERROR "${file} was not installed")
  endif()
endforeach()

run("configuring the consumer" ${CMAKE_COMMAND} -S ${CONSUMER} -B ${SCRATCH}/consumer -G Ninja
    -DCMAKE_BUILD_TYPE=Release -DCMAKE_CXX_COMPILER=${COMPILER} -DCMAKE_PREFIX_PATH=${prefix})
run("building the consumer" ${CMAKE_COMMAND} --build ${SCRATCH}/consumer)
run("running the consumer" ${SCRATCH}/consumer/fill_plate)

# 40 × 20 × 1.5 mm at 5 cm³/s take 0.24 s; what fills after the switch-over at 98 % is slower or faster.
if(NOT text MATCHES "plate full at ([0-9.]+) s")
  message(FATAL_ERROR "the consumer printed no fill time:\n${text}")
endif()
if(CMAKE_MATCH_1 LESS 0.2 OR CMAKE_MATCH_1 GREATER 0.4)
  message(FATAL_ERROR "the plate should fill in about 0.24 s, not ${CMAKE_MATCH_1} s")
endif()
run("running the installed program" ${prefix}/bin/firstshot --version)
run("finding an installed card" ${prefix}/bin/firstshot material hips-8)

