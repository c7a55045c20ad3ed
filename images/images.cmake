# The images are committed, built, beside their sources: the simulator and its
# tests need no cross compiler. A change of a source is followed by
# `rebase-images`, in the same commit.
set(images_built ${CMAKE_BINARY_DIR}/images)

add_custom_target(images
  COMMAND ${CMAKE_COMMAND} -E rm -rf ${images_built}
  COMMAND ${CMAKE_SOURCE_DIR}/images/build.sh ${images_built}
  COMMENT "Building the images into ${images_built}"
  VERBATIM)

add_custom_target(rebase-images
  COMMAND ${CMAKE_COMMAND} -E copy_directory ${images_built}
          ${CMAKE_SOURCE_DIR}/images
  DEPENDS images
  COMMENT "Copying the images over the committed ones"
  VERBATIM)

if(BUILD_TESTING)
  add_test(NAME images_rebuild
           COMMAND ${CMAKE_SOURCE_DIR}/tests/images_rebuild.sh
                   ${CMAKE_SOURCE_DIR}/images)
  set_tests_properties(images_rebuild PROPERTIES SKIP_RETURN_CODE 77
                       TIMEOUT 120)
endif()
