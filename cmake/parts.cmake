# A part is a room that the program opens when a command first needs it, because the libraries behind
# it would be paid for at every start. It becomes a module that holds the room, what it needs of the
# rooms below, and one visible symbol.

set(OHMGLOW_PARTS "" CACHE INTERNAL "")

# ohmglow_part(name [OPTIMIZE level] [ROOMS below…] [LIBRARIES …]): the room src/<name>/ as such a module. One of its
# sources defines: extern "C" const ohmglow::<name>::Part* ohmglow_part().
function(ohmglow_part name)
  set(rooms ${OHMGLOW_ROOMS})
  ohmglow_room(${name} ${ARGN})
  # The archive that others link does without it.
  set(OHMGLOW_ROOMS ${rooms} CACHE INTERNAL "")
  list(APPEND OHMGLOW_PARTS ${name})
  set(OHMGLOW_PARTS ${OHMGLOW_PARTS} CACHE INTERNAL "")

  set(exported ${CMAKE_CURRENT_BINARY_DIR}/part.map)
  file(CONFIGURE OUTPUT ${exported} CONTENT "{ global: ohmglow_part; local: *; };\n")
  set(empty ${CMAKE_CURRENT_BINARY_DIR}/empty_part.cpp)
  file(CONFIGURE OUTPUT ${empty} CONTENT "// The part is in the room's archive.\n")
  add_library(ohmglow_part_${name} MODULE ${empty})
  set_target_properties(ohmglow_part_${name} PROPERTIES PREFIX "" OUTPUT_NAME ohmglow-${name}
                        LINK_DEPENDS ${exported})
  target_link_libraries(ohmglow_part_${name} PRIVATE ohmglow_${name})
  ohmglow_hardened_link(ohmglow_part_${name})
  target_link_options(ohmglow_part_${name} PRIVATE
                      -Wl,-u,ohmglow_part -Wl,--version-script=${exported})
  if(OHMGLOW_SANITIZE)
    # The runtime that clang's modules are linked without is in the program.
    target_link_options(ohmglow_part_${name} PRIVATE -fsanitize=${OHMGLOW_SANITIZE})
  else()
    target_link_options(ohmglow_part_${name} PRIVATE -Wl,--no-undefined)
  endif()
  install(TARGETS ohmglow_part_${name} LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR}/ohmglow)
endfunction()
