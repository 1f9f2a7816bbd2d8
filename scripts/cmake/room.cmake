# dangerline_room(NAME [COLD] [USES room...] [PRIVATE library...])
#
# One static library per room from src/NAME/*.cpp with its public headers in include/dangerline/NAME.
# USES names the rooms whose types appear in its headers; foreign libraries are PRIVATE, since no foreign
# header may stand in include/. COLD rooms only bring things together: -O1 compiles them in two thirds of the time.
#
# The pass that only looks whether everything compiles reads the library's own headers once; the build itself
# reads them in every file, and so finds what a file forgets to include.
set(OFTEN_READ <algorithm> <cmath> <cstdint> <filesystem> <functional> <map> <memory> <optional> <set> <span> <string>
  <vector>)
function(dangerline_room NAME)
  cmake_parse_arguments(R "COLD" "" "USES;PRIVATE" ${ARGN})
  file(GLOB R_SOURCES CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/src/${NAME}/*.cpp)
  if(NOT R_SOURCES)
    return()
  endif()
  add_library(dangerline_${NAME} STATIC ${R_SOURCES})
  add_library(dangerline::${NAME} ALIAS dangerline_${NAME})
  target_include_directories(dangerline_${NAME}
    PUBLIC $<BUILD_INTERFACE:${PROJECT_SOURCE_DIR}/include> $<INSTALL_INTERFACE:${CMAKE_INSTALL_INCLUDEDIR}>
    PRIVATE ${PROJECT_SOURCE_DIR}/src)
  foreach(U IN LISTS R_USES)
    if(TARGET dangerline_${U})
      target_link_libraries(dangerline_${NAME} PUBLIC dangerline_${U})
    endif()
  endforeach()
  # How the rooms are built is no business of who links them.
  target_link_libraries(dangerline_${NAME} PRIVATE
    $<BUILD_INTERFACE:dangerline_flags> $<BUILD_INTERFACE:dangerline_warnings> ${R_PRIVATE})
  if(R_COLD)
    set_target_properties(dangerline_${NAME} PROPERTIES COLD ON)
  endif()
  if(CMAKE_BUILD_TYPE STREQUAL Compile)
    target_precompile_headers(dangerline_${NAME} PRIVATE ${OFTEN_READ})
    if(fmt::fmt IN_LIST R_PRIVATE)
      target_precompile_headers(dangerline_${NAME} PRIVATE <fmt/format.h>)
    endif()
  endif()
  set_target_properties(dangerline_${NAME} PROPERTIES EXPORT_NAME ${NAME})
  install(TARGETS dangerline_${NAME} EXPORT dangerline_rooms)
  if(EXISTS ${PROJECT_SOURCE_DIR}/include/dangerline/${NAME})
    install(DIRECTORY ${PROJECT_SOURCE_DIR}/include/dangerline/${NAME}
      DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/dangerline)
  endif()
endfunction()
