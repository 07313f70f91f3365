# The page that `ohmglow serve` shows, bundled from src/serve/web by its own locked packages and
# embedded in the serve room as ohmglow::embedded::page(): each file under its name, and again as
# <name>.gz. Everything happens in a copy under the build folder.

option(OHMGLOW_PAGE "Build the page of ohmglow serve (needs Node.js 18 or newer, npm and a registry)" ON)

set(OHMGLOW_PAGE_DIR ${CMAKE_CURRENT_BINARY_DIR}/page)

function(ohmglow_find_node)
  find_program(OHMGLOW_NODE NAMES node nodejs)
  find_program(OHMGLOW_NPM npm)
  foreach(program NODE NPM)
    if(NOT OHMGLOW_${program})
      string(TOLOWER ${program} what)
      message(FATAL_ERROR "${what} was not found. On Debian 12: apt-get install nodejs npm, "
                          "or -DOHMGLOW_PAGE=OFF to build without the page.")
    endif()
  endforeach()
endfunction()

# ohmglow_npm_ci(source folder, stamp): its packages in the copy at `folder`, again when the lock changes.
function(ohmglow_npm_ci source folder)
  add_custom_command(OUTPUT ${folder}/packages.stamp
    COMMAND ${CMAKE_COMMAND} -E make_directory ${folder}
    COMMAND ${CMAKE_COMMAND} -E copy ${source}/package.json ${source}/package-lock.json
            ${source}/.npmrc ${folder}
    COMMAND ${CMAKE_COMMAND} -E chdir ${folder} ${OHMGLOW_NPM} ci --silent
    COMMAND ${CMAKE_COMMAND} -E touch ${folder}/packages.stamp
    DEPENDS ${source}/package.json ${source}/package-lock.json ${source}/.npmrc
    VERBATIM COMMENT "Installing the locked packages of ${source}")
endfunction()

function(ohmglow_page)
  set(files "")
  if(OHMGLOW_PAGE)
    ohmglow_find_node()
    set(web ${PROJECT_SOURCE_DIR}/src/serve/web)
    set(meaning ${PROJECT_SOURCE_DIR}/src/report/templates/meaning.css)
    file(GLOB_RECURSE sources CONFIGURE_DEPENDS ${web}/app/*.ts ${web}/app/*.tsx ${web}/style/*.css)
    list(APPEND sources ${web}/index.html ${web}/bundle.mjs ${web}/tsconfig.json)
    foreach(name index.html page.js page.css icon.svg licences.txt)
      list(APPEND files ${OHMGLOW_PAGE_DIR}/out/${name} ${OHMGLOW_PAGE_DIR}/out/${name}.gz)
    endforeach()
    ohmglow_npm_ci(${web} ${OHMGLOW_PAGE_DIR})
    add_custom_command(OUTPUT ${files}
      COMMAND ${CMAKE_COMMAND} -E rm -rf ${OHMGLOW_PAGE_DIR}/app ${OHMGLOW_PAGE_DIR}/style
      COMMAND ${CMAKE_COMMAND} -E copy_directory ${web}/app ${OHMGLOW_PAGE_DIR}/app
      COMMAND ${CMAKE_COMMAND} -E copy_directory ${web}/style ${OHMGLOW_PAGE_DIR}/style
      COMMAND ${CMAKE_COMMAND} -E copy ${meaning} ${OHMGLOW_PAGE_DIR}/style
      COMMAND ${CMAKE_COMMAND} -E copy ${web}/index.html ${web}/icon.svg ${web}/bundle.mjs
              ${web}/tsconfig.json ${OHMGLOW_PAGE_DIR}
      COMMAND ${OHMGLOW_NODE} ${OHMGLOW_PAGE_DIR}/bundle.mjs
      DEPENDS ${sources} ${web}/icon.svg ${meaning} ${OHMGLOW_PAGE_DIR}/packages.stamp
      VERBATIM COMMENT "Bundling the page")
    add_custom_target(page DEPENDS ${files})
  endif()
  if(TARGET ohmglow_serve)
    ohmglow_embed(serve page ${files})
  endif()
endfunction()
