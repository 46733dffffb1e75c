# Debian packages by CPack; apps/packages.sh calls it. A component of the install rules is a package.
include(GNUInstallDirs)
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME wainscot)
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ
    WORLD_EXECUTE)
set(CPACK_COMPONENTS_ALL program runtime development python)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_MAINTAINER "wainscot maintainers <maintainers@wainscot.invalid>")  # a name that no one can have
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_GENERATE_SHLIBS ON)
set(CPACK_DEBIAN_PACKAGE_GENERATE_SHLIBS_POLICY ">=")

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME wainscot)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION science)
# The engines of wainscot batch, which says which one it lacks.
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SUGGESTS "parallel, slurm-client")
set(CPACK_DEBIAN_PROGRAM_DESCRIPTION "map of a home from the recorded drive of a hobby robot
Makes a map whose distances match the house from wheel counts and the scans
of a 2D lidar: an occupancy grid, the path that was really driven, and an
account of how both were found and how far to trust them. It works offline.")

set(soname libwainscot${PROJECT_VERSION_MAJOR})
set(CPACK_DEBIAN_RUNTIME_PACKAGE_NAME ${soname})
set(CPACK_DEBIAN_RUNTIME_PACKAGE_SECTION libs)
set(CPACK_DEBIAN_RUNTIME_PACKAGE_CONTROL_EXTRA ${CMAKE_CURRENT_LIST_DIR}/triggers)
set(CPACK_DEBIAN_RUNTIME_DESCRIPTION "maps of homes and where a robot is in them - shared library
Maps a drive, answers scan by scan where the robot is while it drives, and
tells walls and floor of a map.
This package is what programs need that use the library.")

set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME libwainscot-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS "${soname} (= ${PROJECT_VERSION})")
# What the static library asks for.
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SUGGESTS "libceres-dev, libfmt-dev, libgoogle-glog-dev, libopencv-imgcodecs-dev, \
libopencv-imgproc-dev, libsimdjson-dev, libsqlitecpp-dev, libssl-dev, libyaml-cpp-dev")
set(CPACK_DEBIAN_DEVELOPMENT_DESCRIPTION "maps of homes and where a robot is in them - development files
Maps a drive, answers scan by scan where the robot is while it drives, and
tells walls and floor of a map.
This package has headers, the static library, examples, and what CMake and
pkg-config find the library by.")

set(CPACK_DEBIAN_PYTHON_PACKAGE_NAME python3-wainscot)
set(CPACK_DEBIAN_PYTHON_PACKAGE_SECTION python)
set(CPACK_DEBIAN_PYTHON_PACKAGE_ARCHITECTURE all)
set(CPACK_DEBIAN_PYTHON_PACKAGE_SHLIBDEPS OFF)
set(CPACK_DEBIAN_PYTHON_PACKAGE_DEPENDS "python3:any, python3-numpy, ${soname} (>= ${PROJECT_VERSION})")
set(CPACK_DEBIAN_PYTHON_PACKAGE_CONTROL_EXTRA ${CMAKE_CURRENT_LIST_DIR}/python/postinst
    ${CMAKE_CURRENT_LIST_DIR}/python/prerm)
set(CPACK_DEBIAN_PYTHON_DESCRIPTION "maps of homes and where a robot is in them - Python module
Maps a drive, answers scan by scan where the robot is while it drives, and
tells walls and floor of a map.
This package is the library for Python; it needs no compiler.")

# What each package says of itself: its terms, and its changes (gzip -n: without the time of day).
execute_process(COMMAND date -u -R -d ${WAINSCOT_RELEASED} OUTPUT_VARIABLE release_day OUTPUT_STRIP_TRAILING_WHITESPACE)
foreach(component ${CPACK_COMPONENTS_ALL})
  string(TOUPPER ${component} key)
  set(package ${CPACK_DEBIAN_${key}_PACKAGE_NAME})
  set(own ${CMAKE_CURRENT_BINARY_DIR}/debian/${package})
  configure_file(${CMAKE_CURRENT_LIST_DIR}/changelog.in ${own}/changelog @ONLY)
  execute_process(COMMAND gzip -9nf changelog WORKING_DIRECTORY ${own})
  install(FILES ${CMAKE_CURRENT_LIST_DIR}/copyright ${own}/changelog.gz DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/${package}
          COMPONENT ${component} EXCLUDE_FROM_ALL)
endforeach()

install(DIRECTORY ${CMAKE_SOURCE_DIR}/apps/examples DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/libwainscot-dev
        COMPONENT development EXCLUDE_FROM_ALL)

# The guides, and what their examples name, as they lie in the sources, so that links between them lead somewhere.
foreach(file README.md apps/USING.md apps/TRACKS.md io/FORMATS.md data/demo/README.md data/demo/drive data/demo/map.png
        data/demo/plan.yaml data/demo/rooms.csv)
  get_filename_component(folder ${file} DIRECTORY)
  set(target ${CMAKE_INSTALL_DATADIR}/doc/wainscot/${folder})
  if(IS_DIRECTORY ${CMAKE_SOURCE_DIR}/${file})
    install(DIRECTORY ${CMAKE_SOURCE_DIR}/${file} DESTINATION ${target} COMPONENT program EXCLUDE_FROM_ALL)
  else()
    install(FILES ${CMAKE_SOURCE_DIR}/${file} DESTINATION ${target} COMPONENT program EXCLUDE_FROM_ALL)
  endif()
endforeach()

include(CPack)
