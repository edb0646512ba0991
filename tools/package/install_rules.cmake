# What `cmake --install` copies: the program, the cards that come with it, the libraries with their headers, and
# the files that let another project say find_package(firstshot). The test is tests/install.
include(CMakePackageConfigHelpers)

foreach(library mesh solver io)
  target_compile_features(firstshot_${library} PUBLIC cxx_std_20)
endforeach()

# mesh and solver have a set of their own, so that who uses only them need not have VTK and HDF5.
install(TARGETS firstshot_mesh firstshot_solver EXPORT firstshotTargets
        FILE_SET HEADERS DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/firstshot)
install(TARGETS firstshot_io EXPORT firstshotIoTargets
        FILE_SET HEADERS DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/firstshot)

set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/firstshot)
install(EXPORT firstshotTargets NAMESPACE firstshot:: DESTINATION ${package_dir})
install(EXPORT firstshotIoTargets NAMESPACE firstshot:: DESTINATION ${package_dir})
configure_package_config_file(${CMAKE_CURRENT_LIST_DIR}/firstshotConfig.cmake.in
                              ${PROJECT_BINARY_DIR}/package/firstshotConfig.cmake
                              INSTALL_DESTINATION ${package_dir} PATH_VARS CMAKE_INSTALL_DATADIR)
write_basic_package_version_file(${PROJECT_BINARY_DIR}/package/firstshotConfigVersion.cmake
                                 COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/package/firstshotConfig.cmake
              ${PROJECT_BINARY_DIR}/package/firstshotConfigVersion.cmake
        DESTINATION ${package_dir})

install(TARGETS firstshot RUNTIME)
install(DIRECTORY cases/materials cases/presses DESTINATION ${CMAKE_INSTALL_DATADIR}/firstshot
        FILES_MATCHING PATTERN "*.toml")
