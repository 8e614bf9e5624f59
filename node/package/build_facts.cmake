# What `ladderline --version` says of the build, as generated/embedded/build_facts.hpp. The commit is that of the last
# run of CMake; -DLADDERLINE_COMMIT=... names one where there is no repository. No folder is in it, and no time but that
# of the commit, or SOURCE_DATE_EPOCH, before which no clock can be right; 0 where neither is known.
set(LADDERLINE_COMMIT "" CACHE STRING "The commit that is built; found by git if it is empty")

function(build_facts)
    set(commit "${LADDERLINE_COMMIT}")
    find_program(GIT_PROGRAM git)
    if(commit STREQUAL "" AND GIT_PROGRAM)
        execute_process(COMMAND ${GIT_PROGRAM} -C ${CMAKE_SOURCE_DIR} rev-parse --short=12 HEAD
            OUTPUT_VARIABLE commit OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET)
        execute_process(COMMAND ${GIT_PROGRAM} -C ${CMAKE_SOURCE_DIR} status --porcelain --untracked-files=no
            OUTPUT_VARIABLE changes ERROR_QUIET)
        if(commit AND changes)
            string(APPEND commit ", with changes")
        endif()
    endif()
    set(commit_time "$ENV{SOURCE_DATE_EPOCH}")
    if(commit_time STREQUAL "" AND GIT_PROGRAM)
        execute_process(COMMAND ${GIT_PROGRAM} -C ${CMAKE_SOURCE_DIR} log -1 --format=%ct
            OUTPUT_VARIABLE commit_time OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET)
    endif()
    if(NOT commit_time MATCHES "^[0-9]+$")
        set(commit_time 0)
    endif()
    if(commit STREQUAL "")
        set(commit "not known")
    endif()
    file(STRINGS ${GEOGRAPHIC_HEADERS}/GeographicLib/Config.h geographic REGEX "VERSION_STRING")
    string(REGEX REPLACE ".*\"(.*)\".*" "\\1" geographic "${geographic}")
    set(compiler "${CMAKE_CXX_COMPILER_ID} ${CMAKE_CXX_COMPILER_VERSION} for ${CMAKE_SYSTEM_PROCESSOR}")
    file(CONFIGURE OUTPUT ${CMAKE_BINARY_DIR}/generated/embedded/build_facts.hpp @ONLY CONTENT
"#pragma once
#include <cstdint>
#include <string_view>
namespace ladderline::embedded::build_facts {
inline constexpr std::string_view version = \"@PROJECT_VERSION@\";
inline constexpr std::string_view commit = \"@commit@\";
inline constexpr std::int64_t commit_time_s = @commit_time@;
inline constexpr std::string_view compiler = \"@compiler@\";
inline constexpr std::string_view build_type = \"@CMAKE_BUILD_TYPE@\";
inline constexpr std::string_view boost = \"@Boost_VERSION_STRING@\";
inline constexpr std::string_view cereal = \"@cereal_VERSION@\";
inline constexpr std::string_view cli11 = \"@CLI11_VERSION@\";
inline constexpr std::string_view date = \"@date_VERSION@\";
inline constexpr std::string_view geographic = \"@geographic@\";
inline constexpr std::string_view openssl = \"@OPENSSL_VERSION@\";
inline constexpr std::string_view qrencode = \"@QRENCODE_VERSION@\";
}  // namespace ladderline::embedded::build_facts
")
endfunction()
