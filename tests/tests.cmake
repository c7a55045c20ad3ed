# Every tests/test_NAME.c is one cmocka program and one ctest test; every
# tests/bench_NAME.c is a program of the target `bench`; the other .c files
# beside them are shared by them, but for two programs.
pkg_check_modules(CMOCKA REQUIRED IMPORTED_TARGET cmocka)

file(GLOB test_sources CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/tests/test_*.c)
file(GLOB bench_sources CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/tests/bench_*.c)
file(GLOB shared_sources CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/tests/*.c)
list(REMOVE_ITEM shared_sources ${test_sources} ${bench_sources}
     ${CMAKE_SOURCE_DIR}/tests/bare_engine.c
     ${CMAKE_SOURCE_DIR}/tests/schema_rebase.c)

# Includes and the places that a test may want to know.
function(test_setting target)
  target_include_directories(${target} PRIVATE ${CMAKE_SOURCE_DIR}/sim
                                               ${CMAKE_SOURCE_DIR}/tests)
  target_compile_definitions(${target} PRIVATE
    FIRSTFETCH_ROOT="${CMAKE_SOURCE_DIR}"
    FIRSTFETCH_PROGRAM="$<TARGET_FILE:firstfetch>")
  target_link_libraries(${target} PRIVATE ff_api PkgConfig::CMOCKA)
endfunction()

add_library(test_shared STATIC ${shared_sources})
test_setting(test_shared)

foreach(source ${test_sources})
  get_filename_component(name ${source} NAME_WE)
  add_executable(${name} ${source})
  test_setting(${name})
  target_link_libraries(${name} PRIVATE test_shared)
  add_dependencies(${name} firstfetch)
  add_test(NAME ${name} COMMAND ${name})
  set_tests_properties(${name} PROPERTIES WORKING_DIRECTORY
                       ${CMAKE_SOURCE_DIR} TIMEOUT 300)
endforeach()

# The core's tests once more for each other instruction engine, but for those
# of the library behind one of them and those of ARMv7-M, which the interpreter
# does not execute.
file(GLOB core_sources CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/tests/test_core_*.c)
list(FILTER core_sources EXCLUDE REGEX
     "test_core_(traps|breakpoints|interrupts)|_v7m")
foreach(source ${core_sources})
  foreach(engine own both)
    # In lockstep every round is executed: there is nothing to compare.
    if(engine STREQUAL both AND source MATCHES "test_core_wait")
      continue()
    endif()
    get_filename_component(name ${source} NAME_WE)
    string(APPEND name _${engine})
    add_executable(${name} ${source})
    test_setting(${name})
    target_compile_definitions(${name} PRIVATE BENCH_OPEN=cpu_open_${engine})
    target_link_libraries(${name} PRIVATE test_shared)
    add_test(NAME ${name} COMMAND ${name})
    set_tests_properties(${name} PROPERTIES TIMEOUT 300)
  endforeach()
endforeach()

# --- headers stand alone: each compiles on its own, and twice ----------------

file(GLOB headers RELATIVE ${CMAKE_SOURCE_DIR}/sim CONFIGURE_DEPENDS
     ${CMAKE_SOURCE_DIR}/sim/*/*.h)
foreach(header ${headers})
  string(MAKE_C_IDENTIFIER ${header} name)
  set(source ${CMAKE_BINARY_DIR}/headers_alone/${name}.c)
  file(CONFIGURE OUTPUT ${source}
       CONTENT "#include \"@header@\"\n#include \"@header@\"\n" @ONLY)
  list(APPEND header_sources ${source})
endforeach()
add_library(headers_alone OBJECT ${header_sources})
target_link_libraries(headers_alone PRIVATE ff_api)

# --- scripts: NAME SCRIPT ARGUMENT... ----------------------------------------

function(test_script name script)
  add_test(NAME ${name}
           COMMAND sh ${CMAKE_SOURCE_DIR}/tests/${script} ${ARGN})
  set_tests_properties(${name} PROPERTIES SKIP_RETURN_CODE 77 TIMEOUT 600)
endfunction()

# A trace without a case is looked for as well as a case without a trace.
file(GLOB traced RELATIVE ${CMAKE_SOURCE_DIR}/traces CONFIGURE_DEPENDS
     ${CMAKE_SOURCE_DIR}/traces/*.jsonc ${CMAKE_SOURCE_DIR}/traces/*.trace
     ${CMAKE_SOURCE_DIR}/traces/lessons/*.jsonc
     ${CMAKE_SOURCE_DIR}/traces/lessons/*.trace)
list(TRANSFORM traced REPLACE "\\.[a-z]+$" "")
list(REMOVE_DUPLICATES traced)
foreach(name ${traced})
  string(REPLACE "/" "_" test ${name})
  test_script(trace_${test} compare_trace.sh $<TARGET_FILE:firstfetch> ${name})
endforeach()

test_script(same_bytes same_bytes.sh ${CMAKE_BINARY_DIR})
test_script(engines_agree engines_agree.sh $<TARGET_FILE:firstfetch>)
test_script(pictures pictures.sh $<TARGET_FILE:firstfetch>)
test_script(html html.sh $<TARGET_FILE:firstfetch> ${CMAKE_BINARY_DIR}/html)
test_script(readme_examples readme_examples.sh $<TARGET_FILE:firstfetch>)
test_script(serve_gdb serve_gdb.sh $<TARGET_FILE:firstfetch>)
test_script(validate_results validate_results.sh $<TARGET_FILE:firstfetch>)
test_script(text_snapshots text.sh $<TARGET_FILE:firstfetch>)
test_script(reports_agree reports_agree.sh $<TARGET_FILE:firstfetch>)
test_script(pages_agree pages_agree.sh $<TARGET_FILE:firstfetch>)
test_script(junit_readers junit_readers.sh $<TARGET_FILE:firstfetch>)
test_script(validate_sweeps validate_sweeps.sh $<TARGET_FILE:firstfetch>)
test_script(validate_why validate_why.sh $<TARGET_FILE:firstfetch>)
test_script(validate_checks validate_checks.sh $<TARGET_FILE:firstfetch>)
test_script(validate_routes validate_routes.sh $<TARGET_FILE:firstfetch>)

add_test(NAME words_agree
         COMMAND /usr/bin/python3 ${CMAKE_SOURCE_DIR}/tests/words_agree.py
                 $<TARGET_FILE:firstfetch>)
set_tests_properties(words_agree PROPERTIES
                     WORKING_DIRECTORY ${CMAKE_SOURCE_DIR})
test_script(kill_resume kill_resume.sh $<TARGET_FILE:firstfetch> 3)

include(tests/schemas.cmake)

# ctest never writes into the tree; this does.
add_custom_target(rebase-traces
  COMMAND sh ${CMAKE_SOURCE_DIR}/tests/rebase_traces.sh
          $<TARGET_FILE:firstfetch>
  COMMAND sh ${CMAKE_SOURCE_DIR}/tests/pictures.sh
          $<TARGET_FILE:firstfetch> write
  COMMAND sh ${CMAKE_SOURCE_DIR}/tests/text.sh $<TARGET_FILE:firstfetch>
          --rebase
  DEPENDS firstfetch
  USES_TERMINAL VERBATIM)

# The instruction engines against each other, a million random states.
add_custom_target(differential
  COMMAND test_own 1000000 1
  USES_TERMINAL VERBATIM)

# The big sweep: a thousand random points each alone, with the edges of as many
# records twice, and twenty kills.
add_custom_target(endurance
  COMMAND ${CMAKE_COMMAND} -E env FIRSTFETCH_POINTS=3000
          $<TARGET_FILE:test_sweep_torn>
  COMMAND sh ${CMAKE_SOURCE_DIR}/tests/kill_resume.sh
          $<TARGET_FILE:firstfetch> 20
  DEPENDS firstfetch test_sweep_torn
  USES_TERMINAL VERBATIM)

# --- how fast: prints, judges nothing ----------------------------------------

add_executable(bare_engine tests/bare_engine.c)
target_link_libraries(bare_engine PRIVATE PkgConfig::UNICORN)

foreach(source ${bench_sources})
  get_filename_component(name ${source} NAME_WE)
  add_executable(${name} ${source})
  test_setting(${name})
  target_link_libraries(${name} PRIVATE test_shared)
  list(APPEND bench_commands COMMAND ${name} $<TARGET_FILE:firstfetch>
       $<TARGET_FILE:bare_engine>)
endforeach()
add_custom_target(bench
  ${bench_commands}
  DEPENDS firstfetch bare_engine
  WORKING_DIRECTORY ${CMAKE_SOURCE_DIR}
  USES_TERMINAL VERBATIM)
