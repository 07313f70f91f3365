# The messages of every language in src/vocabulary/languages/, compiled by GNU gettext into the binary.
function(ohmglow_languages)
  find_program(OHMGLOW_MSGFMT msgfmt)
  if(NOT OHMGLOW_MSGFMT)
    ohmglow_missing(msgfmt gettext)
  endif()
  file(GLOB sources CONFIGURE_DEPENDS src/vocabulary/languages/*.po)
  set(compiled "")
  foreach(source ${sources})
    get_filename_component(language ${source} NAME_WE)
    set(output ${CMAKE_CURRENT_BINARY_DIR}/languages/${language}.mo)
    add_custom_command(OUTPUT ${output}
      COMMAND ${CMAKE_COMMAND} -E make_directory ${CMAKE_CURRENT_BINARY_DIR}/languages
      COMMAND ${OHMGLOW_MSGFMT} --check-header --check-domain --endianness=little -o ${output} ${source}
      DEPENDS ${source} VERBATIM COMMENT "Compiling the messages of ${language}")
    list(APPEND compiled ${output})
  endforeach()
  ohmglow_embed(vocabulary languages ${compiled})
endfunction()
