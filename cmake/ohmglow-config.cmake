# find_package(ohmglow): the libraries that ohmglow was built on, then its own target ohmglow::ohmglow.
include(${CMAKE_CURRENT_LIST_DIR}/dependencies.cmake)
include(${CMAKE_CURRENT_LIST_DIR}/ohmglow_targets.cmake)
