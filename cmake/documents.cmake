# The libraries of the room src/documents/, which is a part: nobody who links ohmglow needs them.
ohmglow_find(PkgConfig pkg-config)
pkg_check_modules(OHMGLOW_PANGO QUIET IMPORTED_TARGET pangocairo cairo-pdf)
if(NOT OHMGLOW_PANGO_FOUND)
  ohmglow_missing("pangocairo, cairo-pdf" "libpango1.0-dev libcairo2-dev")
endif()
pkg_check_modules(OHMGLOW_EXIF QUIET IMPORTED_TARGET libexif)
if(NOT OHMGLOW_EXIF_FOUND)
  ohmglow_missing(libexif libexif-dev)
endif()
pkg_check_modules(OHMGLOW_QPDF QUIET IMPORTED_TARGET libqpdf)
if(NOT OHMGLOW_QPDF_FOUND)
  ohmglow_missing(libqpdf libqpdf-dev)
endif()
ohmglow_header_library(turbojpeg turbojpeg.h libturbojpeg0-dev)
ohmglow_header_library_links(turbojpeg turbojpeg libturbojpeg0-dev)
ohmglow_header_library(xlsxwriter xlsxwriter.h libxlsxwriter-dev)
ohmglow_header_library_links(xlsxwriter xlsxwriter libxlsxwriter-dev)

# To clang the headers of qpdf 11 are no C++20: one source has them, as C++17.
set_source_files_properties(${PROJECT_SOURCE_DIR}/src/documents/pdf_contents.cpp PROPERTIES
                            COMPILE_OPTIONS -std=gnu++17 SKIP_PRECOMPILE_HEADERS ON)
ohmglow_part(documents OPTIMIZE -O1 ROOMS report APART pdf_contents.cpp
             LIBRARIES PkgConfig::OHMGLOW_PANGO PkgConfig::OHMGLOW_EXIF PkgConfig::OHMGLOW_QPDF
                       ohmglow_dep::turbojpeg ohmglow_dep::xlsxwriter ohmglow_dep::date fmt::fmt)
