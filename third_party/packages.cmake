# Every library from outside that the project links, found in one place. Each module names the ones it hides and
# links them PRIVATE, so no type of theirs stands in a header that another module includes.
find_package(PkgConfig REQUIRED)
find_package(Threads REQUIRED)
find_package(fmt REQUIRED)
find_package(nlohmann_json REQUIRED)
find_package(CLI11 REQUIRED)
find_package(SQLiteCpp REQUIRED)
find_library(PLUMBMARK_CSV csv REQUIRED)
pkg_check_modules(tomlplusplus REQUIRED IMPORTED_TARGET tomlplusplus)
pkg_check_modules(icu REQUIRED IMPORTED_TARGET icu-i18n icu-uc)
pkg_check_modules(libav REQUIRED IMPORTED_TARGET libavformat libavcodec libavutil libswscale libswresample)
pkg_check_modules(portaudio REQUIRED IMPORTED_TARGET portaudio-2.0)
pkg_check_modules(sqlite3 REQUIRED IMPORTED_TARGET sqlite3)
pkg_check_modules(sodium REQUIRED IMPORTED_TARGET libsodium)
pkg_check_modules(zip REQUIRED IMPORTED_TARGET libzip)
pkg_check_modules(bsd REQUIRED IMPORTED_TARGET libbsd)
pkg_check_modules(pango REQUIRED IMPORTED_TARGET pangocairo cairo)
pkg_check_modules(qpdf REQUIRED IMPORTED_TARGET libqpdf)
pkg_check_modules(imgui REQUIRED IMPORTED_TARGET imgui glfw3 freetype2)
pkg_check_modules(egl REQUIRED IMPORTED_TARGET egl gl)

# Its headers are none of our warnings, and its targets would bring all of them as ours.
find_package(OpenCV REQUIRED COMPONENTS core imgproc objdetect features2d calib3d video)
add_library(plumbmark_opencv INTERFACE)
target_include_directories(plumbmark_opencv SYSTEM INTERFACE ${OpenCV_INCLUDE_DIRS})
target_link_libraries(plumbmark_opencv INTERFACE ${OpenCV_LIBS})
find_path(PLUMBMARK_CASCADES haarcascade_frontalface_alt2.xml
          PATHS /usr/share/opencv4/haarcascades /usr/share/opencv/haarcascades NO_DEFAULT_PATH REQUIRED)
