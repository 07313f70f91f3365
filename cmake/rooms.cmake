# A room is a folder under src/ with its own library, so that an arrow against the order of rooms is a
# link error in the room's own test.

add_library(ohmglow_settings INTERFACE)
target_include_directories(ohmglow_settings INTERFACE
  $<BUILD_INTERFACE:${PROJECT_SOURCE_DIR}/include> $<INSTALL_INTERFACE:${CMAKE_INSTALL_INCLUDEDIR}>)
target_compile_features(ohmglow_settings INTERFACE cxx_std_20)

# Paths of the machine that builds stand in no binary: two folders give the same bytes.
add_compile_options(-ffile-prefix-map=${PROJECT_BINARY_DIR}=build -ffile-prefix-map=${PROJECT_SOURCE_DIR}=.)

# What makes a fault in the project's own code an end of the program rather than a way into it. The sanitizers
# bring checks of their own, which FORTIFY would hide; without optimisation it does nothing but warn.
set(OHMGLOW_HARDENING -fstack-protector-strong -fstack-clash-protection)
if(CMAKE_SYSTEM_PROCESSOR MATCHES "x86_64|AMD64|i.86")
  list(APPEND OHMGLOW_HARDENING -fcf-protection=full)
elseif(CMAKE_SYSTEM_PROCESSOR MATCHES "aarch64|arm64")
  list(APPEND OHMGLOW_HARDENING -mbranch-protection=standard)
endif()
if(NOT OHMGLOW_SANITIZE)
  list(APPEND OHMGLOW_HARDENING $<$<NOT:$<CONFIG:Debug>>:-U_FORTIFY_SOURCE> $<$<NOT:$<CONFIG:Debug>>:-D_FORTIFY_SOURCE=2>)
endif()
include(CheckPIESupported)
check_pie_supported(LANGUAGES CXX)

function(ohmglow_hardened_link target)
  set_target_properties(${target} PROPERTIES POSITION_INDEPENDENT_CODE ON)
  target_link_options(${target} PRIVATE -Wl,-z,relro,-z,now,-z,noexecstack)
endfunction()

# Warnings, hardening and sanitizers of the project's own targets; they never reach a consumer.
function(ohmglow_own target)
  target_compile_options(${target} PRIVATE ${OHMGLOW_HARDENING})
  target_compile_options(${target} PRIVATE
    -Wall -Wextra -Wpedantic -Wshadow -Wnon-virtual-dtor -Wold-style-cast -Wcast-qual -Wconversion
    -Wno-sign-conversion -Woverloaded-virtual -Wnull-dereference -Wformat=2 -Wimplicit-fallthrough
    # GCC 12: false alarms on strings (bug 105651)
    $<$<CXX_COMPILER_ID:GNU>:-Wno-restrict;-Wno-array-bounds;-Wno-stringop-overread>
    -ffp-contract=off $<$<BOOL:${OHMGLOW_WERROR}>:-Werror>)
  if(OHMGLOW_SANITIZE)
    target_compile_options(${target} PRIVATE -fsanitize=${OHMGLOW_SANITIZE} -fno-omit-frame-pointer
                                             -fno-sanitize-recover=all
        # GCC warns of what the checks themselves put in (its manual, -fsanitize)
        $<$<CXX_COMPILER_ID:GNU>:-Wno-maybe-uninitialized>)
    target_link_options(${target} PRIVATE -fsanitize=${OHMGLOW_SANITIZE})
  endif()
  target_include_directories(${target} PRIVATE ${PROJECT_SOURCE_DIR}/src)
endfunction()

# Compiles a target's sources in batches of about `most`, so that headers are read once a batch:
# a build from nothing takes a fifth of the time, a changed source takes its whole batch along.
function(ohmglow_unity target most)
  if(NOT OHMGLOW_UNITY)
    return()
  endif()
  get_target_property(sources ${target} SOURCES)
  list(LENGTH sources count)
  math(EXPR batches "(${count} + ${most} - 1) / ${most}")
  math(EXPR size "(${count} + ${batches} - 1) / ${batches}")
  set_target_properties(${target} PROPERTIES UNITY_BUILD ON UNITY_BUILD_BATCH_SIZE ${size})
  # To GCC a source of a batch is a header, where a type of its unnamed namespace would be many types.
  target_compile_options(${target} PRIVATE $<$<CXX_COMPILER_ID:GNU>:-Wno-subobject-linkage>)
endfunction()

set(OHMGLOW_ROOMS "" CACHE INTERNAL "")

# ohmglow_room(name [OPTIMIZE level] [ROOMS below…] [LIBRARIES …] [APART sources…]): every source in
# src/<name>/; of records_<room> in src/records/<room>/. APART are compiled alone: their templates must not be seen by the room's other sources.
# OPTIMIZE: -O1 or -O2 in place of a release's -O3, where no image waits for the room's code.
function(ohmglow_room name)
  cmake_parse_arguments(arg "" "OPTIMIZE" "ROOMS;LIBRARIES;APART" ${ARGN})
  string(REPLACE "records_" "records/" folder ${name})
  file(GLOB_RECURSE sources CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/src/${folder}/*.cpp)
  add_library(ohmglow_${name} STATIC ${sources})
  set_target_properties(ohmglow_${name} PROPERTIES LINKER_LANGUAGE CXX POSITION_INDEPENDENT_CODE ON)
  list(TRANSFORM arg_ROOMS PREPEND ohmglow_)
  target_link_libraries(ohmglow_${name} PUBLIC ohmglow_settings ${arg_ROOMS} ${arg_LIBRARIES})
  ohmglow_own(ohmglow_${name})
  target_compile_options(ohmglow_${name} PRIVATE $<$<CONFIG:Release>:${arg_OPTIMIZE}>)
  list(TRANSFORM arg_APART PREPEND ${PROJECT_SOURCE_DIR}/src/${folder}/)
  set_source_files_properties(${arg_APART} PROPERTIES SKIP_UNITY_BUILD_INCLUSION ON)
  ohmglow_unity(ohmglow_${name} 16)
  if(OHMGLOW_PCH AND NOT OHMGLOW_UNITY)
    target_precompile_headers(ohmglow_${name} PRIVATE
      <algorithm> <array> <cmath> <map> <optional> <string> <string_view> <variant> <vector>
      <tl/expected.hpp>)
    get_target_property(libraries ohmglow_${name} LINK_LIBRARIES)
    if("nlohmann_json::nlohmann_json" IN_LIST libraries)
      target_precompile_headers(ohmglow_${name} PRIVATE <nlohmann/json.hpp>)
    endif()
    if(NOT name MATCHES "^(vocabulary|tabular|radiometry|severity|electrical|signing)$")
      target_precompile_headers(ohmglow_${name} PRIVATE <opencv2/core.hpp>)
    endif()
  endif()
  list(APPEND OHMGLOW_ROOMS ${name})
  set(OHMGLOW_ROOMS ${OHMGLOW_ROOMS} CACHE INTERNAL "")
endfunction()

# ohmglow_embed(room list files…): the files' bytes in the binary, as
#   std::span<const ohmglow::embedded::File> ohmglow::embedded::<list>()
function(ohmglow_embed room list)
  set(output ${CMAKE_CURRENT_BINARY_DIR}/embedded/${room}_${list}.cpp)
  add_custom_command(OUTPUT ${output}
    COMMAND ${CMAKE_COMMAND} "-DOUTPUT=${output}" "-DLIST=${list}" "-DFILES=${ARGN}"
            -P ${PROJECT_SOURCE_DIR}/cmake/embed.cmake
    DEPENDS ${ARGN} ${PROJECT_SOURCE_DIR}/cmake/embed.cmake
    VERBATIM COMMENT "Embedding ${list}")
  target_sources(ohmglow_${room} PRIVATE ${output})
  set_source_files_properties(${output} PROPERTIES
                              SKIP_PRECOMPILE_HEADERS ON SKIP_UNITY_BUILD_INCLUSION ON)
endfunction()

# The one library that others link: all rooms in one archive.
function(ohmglow_library)
  set(objects "")
  set(libraries "")
  foreach(room ${OHMGLOW_ROOMS})
    list(APPEND objects $<TARGET_OBJECTS:ohmglow_${room}>)
    get_target_property(room_libraries ohmglow_${room} LINK_LIBRARIES)
    list(APPEND libraries ${room_libraries})
  endforeach()
  list(REMOVE_DUPLICATES libraries)
  list(FILTER libraries EXCLUDE REGEX "^ohmglow_[a-z_]+$")
  add_library(ohmglow STATIC ${objects})
  add_library(ohmglow::ohmglow ALIAS ohmglow)
  set_target_properties(ohmglow PROPERTIES LINKER_LANGUAGE CXX)
  set_target_properties(ohmglow_settings PROPERTIES EXPORT_NAME settings)
  target_link_libraries(ohmglow PUBLIC ohmglow_settings ${libraries})

  set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/ohmglow)
  install(TARGETS ohmglow ohmglow_settings EXPORT ohmglow_targets
          ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR})
  install(EXPORT ohmglow_targets NAMESPACE ohmglow:: DESTINATION ${package_dir})
  install(DIRECTORY ${PROJECT_SOURCE_DIR}/include/ohmglow DESTINATION ${CMAKE_INSTALL_INCLUDEDIR})
  install(FILES ${PROJECT_SOURCE_DIR}/cmake/ohmglow-config.cmake
                ${PROJECT_SOURCE_DIR}/cmake/dependencies.cmake DESTINATION ${package_dir})
endfunction()

# For the scope that calls it: what ohmglow_own() is given to watch in place of the hardening, which the sanitizers
# have checks of their own for.
macro(ohmglow_under_sanitizers)
  set(OHMGLOW_SANITIZE address,undefined)
  set(OHMGLOW_HARDENING "")
endmacro()

# The same rooms once more under the address and undefined-behaviour sanitizers, as ohmglow_<room>_sanitized: what a test
# that plays hostile bytes links. Called where the rooms are made: properties of sources are known there alone.
function(ohmglow_sanitized_rooms)
  ohmglow_under_sanitizers()
  foreach(room ${ARGN})
    get_target_property(sources ohmglow_${room} SOURCES)
    get_target_property(libraries ohmglow_${room} LINK_LIBRARIES)
    list(TRANSFORM libraries APPEND _sanitized REGEX "^ohmglow_[a-z_]+$")
    list(TRANSFORM libraries REPLACE "^ohmglow_settings_sanitized$" ohmglow_settings)
    add_library(ohmglow_${room}_sanitized STATIC EXCLUDE_FROM_ALL ${sources})
    set_target_properties(ohmglow_${room}_sanitized PROPERTIES LINKER_LANGUAGE CXX)
    target_link_libraries(ohmglow_${room}_sanitized PUBLIC ${libraries})
    get_target_property(definitions ohmglow_${room} COMPILE_DEFINITIONS)
    if(definitions)
      target_compile_definitions(ohmglow_${room}_sanitized PRIVATE ${definitions})
    endif()
    ohmglow_own(ohmglow_${room}_sanitized)
    # A third of the time to compile; what is optimised less is checked more.
    target_compile_options(ohmglow_${room}_sanitized PRIVATE -O1)
    ohmglow_unity(ohmglow_${room}_sanitized 16)
  endforeach()
endfunction()
