# What parts alone are built on (cmake/parts.cmake). Whoever links the library needs none of it.

# The HTTP server, OpenSSL for TLS, and zlib for answers on their way.
ohmglow_find(OpenSSL libssl-dev)
ohmglow_find(ZLIB zlib1g-dev)
ohmglow_header_library(httplib httplib.h libcpp-httplib-dev)
ohmglow_header_library_links(httplib cpp-httplib libcpp-httplib-dev)
# As the package was built: its classes have other sizes without.
target_compile_definitions(ohmglow_dep::httplib INTERFACE CPPHTTPLIB_OPENSSL_SUPPORT)
target_link_libraries(ohmglow_dep::httplib INTERFACE OpenSSL::SSL OpenSSL::Crypto)
