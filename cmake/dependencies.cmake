# Every library that ohmglow is built on, with the Debian package to install where one is missing.
# Installed beside ohmglow's package file, which includes it too.

function(ohmglow_missing what package)
  message(FATAL_ERROR "${what} was not found. On Debian 12: apt-get install ${package} "
                      "(or ./bootstrap packages for all of them).")
endfunction()

macro(ohmglow_find package_name debian)
  find_package(${package_name} ${ARGN} QUIET)
  if(NOT ${package_name}_FOUND)
    ohmglow_missing(${package_name} ${debian})
  endif()
endmacro()

# Header-only or pkg-config-less libraries get a target of their own with SYSTEM includes.
function(ohmglow_header_library name header debian)
  find_path(OHMGLOW_${name}_INCLUDE ${header} PATH_SUFFIXES ${ARGN})
  if(NOT OHMGLOW_${name}_INCLUDE)
    ohmglow_missing(${header} ${debian})
  endif()
  add_library(ohmglow_dep::${name} INTERFACE IMPORTED GLOBAL)
  target_include_directories(ohmglow_dep::${name} SYSTEM INTERFACE ${OHMGLOW_${name}_INCLUDE})
endfunction()

ohmglow_find(Threads libc6-dev)
ohmglow_find(TIFF libtiff-dev)
ohmglow_find(PNG libpng-dev)
ohmglow_find(nlohmann_json nlohmann-json3-dev)
ohmglow_find(CLI11 libcli11-dev)
ohmglow_find(fmt libfmt-dev)
ohmglow_find(tl-expected libexpected-dev)

ohmglow_header_library(fast_float fast_float/fast_float.h libfast-float-dev)
ohmglow_header_library(mustache kainjow/mustache.hpp libkainjow-mustache-dev)
ohmglow_header_library(boost boost/version.hpp libboost-dev)

ohmglow_header_library(cereal cereal/cereal.hpp libcereal-dev)
ohmglow_header_library(date date/date.h libhowardhinnant-date-dev)

# Philox, whose draws a seed repeats on every machine.
ohmglow_header_library(random123 Random123/philox.h librandom123-dev)

function(ohmglow_header_library_links name library debian)
  find_library(OHMGLOW_${library}_LIBRARY ${library})
  if(NOT OHMGLOW_${library}_LIBRARY)
    ohmglow_missing(${library} ${debian})
  endif()
  target_link_libraries(ohmglow_dep::${name} INTERFACE ${OHMGLOW_${library}_LIBRARY})
endfunction()

# Hashes and base64. OpenSSL hashes 8 % faster, but its thousands of symbols are bound at each start.
ohmglow_header_library(nettle nettle/sha2.h nettle-dev)
ohmglow_header_library_links(nettle nettle nettle-dev)

# Signatures; linked into a part of its own.
ohmglow_header_library(sodium sodium.h libsodium-dev)
ohmglow_header_library_links(sodium sodium libsodium-dev)

# UTF-8, widths of characters and where they may be cut.
ohmglow_header_library(utf8proc utf8proc.h libutf8proc-dev)
ohmglow_header_library_links(utf8proc utf8proc libutf8proc-dev)

ohmglow_header_library(csv csv.h libcsv-dev)
ohmglow_header_library_links(csv csv libcsv-dev)

ohmglow_header_library(deflate libdeflate.h libdeflate-dev)
ohmglow_header_library_links(deflate deflate libdeflate-dev)

# Only the image algorithms, without OpenCV's own CMake package: that one demands every module, and
# its codecs would add over a hundred shared libraries to each start.
ohmglow_header_library(opencv opencv2/imgproc.hpp libopencv-imgproc-dev opencv4)
ohmglow_header_library_links(opencv opencv_core libopencv-core-dev)
ohmglow_header_library_links(opencv opencv_imgproc libopencv-imgproc-dev)

# Runs the network that sees lugs. It brings protobuf, nothing else.
ohmglow_header_library(opencv_dnn opencv2/dnn.hpp libopencv-dnn-dev opencv4)
ohmglow_header_library_links(opencv_dnn opencv_dnn libopencv-dnn-dev)

# Libraries that are opened when the first file needs them, so that every other start does not pay for
# them and what they bring along. Built against their headers, loaded by the soname.
function(ohmglow_opened_library name header library debian)
  ohmglow_header_library(${name}_headers ${header} ${debian} ${ARGN})
  string(TOUPPER ${name} upper)
  find_library(OHMGLOW_${upper}_LIBRARY ${library})
  if(NOT OHMGLOW_${upper}_LIBRARY)
    ohmglow_missing(${library} ${debian})
  endif()
  execute_process(COMMAND ${CMAKE_OBJDUMP} -p ${OHMGLOW_${upper}_LIBRARY} OUTPUT_VARIABLE dump)
  string(REGEX MATCH "SONAME +([^ \n]+)" _ "${dump}")
  if(NOT CMAKE_MATCH_1)
    message(FATAL_ERROR "${OHMGLOW_${upper}_LIBRARY} names no soname")
  endif()
  target_compile_definitions(ohmglow_dep::${name}_headers INTERFACE
                             OHMGLOW_${upper}_SONAME="${CMAKE_MATCH_1}")
endfunction()

# CFITSIO brings an HTTP client and its thirty libraries along.
ohmglow_opened_library(cfitsio fitsio.h cfitsio libcfitsio-dev cfitsio)
# Workbooks: a ZIP archive (libzip brings OpenSSL along) of XML files.
ohmglow_opened_library(zip zip.h zip libzip-dev)
ohmglow_opened_library(expat expat.h expat libexpat1-dev)

find_program(OHMGLOW_CCACHE ccache)
if(OHMGLOW_CCACHE AND NOT CMAKE_CXX_COMPILER_LAUNCHER)
  set(CMAKE_CXX_COMPILER_LAUNCHER
      ${CMAKE_COMMAND} -E env CCACHE_SLOPPINESS=pch_defines,time_macros,include_file_mtime,include_file_ctime
      ${OHMGLOW_CCACHE})
endif()
