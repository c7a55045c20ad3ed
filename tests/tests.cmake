# Every tests/test_NAME.c is one cmocka program and one ctest test.
pkg_check_modules(CMOCKA REQUIRED IMPORTED_TARGET cmocka)

file(GLOB test_sources CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/tests/test_*.c)
foreach(source ${test_sources})
  get_filename_component(name ${source} NAME_WE)
  add_executable(${name} ${source})
  target_include_directories(${name} PRIVATE ${CMAKE_SOURCE_DIR}/sim
                                             ${CMAKE_SOURCE_DIR}/tests)
  target_compile_definitions(${name} PRIVATE
    FIRSTFETCH_ROOT="${CMAKE_SOURCE_DIR}"
    FIRSTFETCH_PROGRAM="$<TARGET_FILE:firstfetch>")
  target_link_libraries(${name} PRIVATE ff_api PkgConfig::CMOCKA)
  add_test(NAME ${name} COMMAND ${name})
  set_tests_properties(${name} PROPERTIES WORKING_DIRECTORY
                       ${CMAKE_SOURCE_DIR} TIMEOUT 300)
endforeach()
