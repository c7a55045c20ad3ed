# JSON Schemas are generated from the tables that read the files:
#   cmake --build BUILD --target rebase-schemas
add_executable(schema_rebase ${CMAKE_SOURCE_DIR}/tests/schema_rebase.c)
target_link_libraries(schema_rebase PRIVATE ff_describe)
add_custom_target(rebase-schemas
  COMMAND schema_rebase ${CMAKE_SOURCE_DIR}
  COMMENT "Writing models/part.schema.json and traces/case.schema.json")

add_test(NAME schemas_are_current
  COMMAND schema_rebase --check ${CMAKE_SOURCE_DIR})
# Skipped, and says so, where python3-jsonschema is missing. The system's
# interpreter: that is where the package installs it.
add_test(NAME schemas_accept_what_is_read
  COMMAND /usr/bin/python3 ${CMAKE_SOURCE_DIR}/tests/schemas.py
          ${CMAKE_SOURCE_DIR})
set_tests_properties(schemas_accept_what_is_read PROPERTIES
  SKIP_RETURN_CODE 77)
