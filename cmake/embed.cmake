# Writes a C++ source that holds the bytes of FILES.
set(text "#include \"embedded.h\"\n\n#include <array>\n\nnamespace ohmglow::embedded {\nnamespace {\n")
set(entries "")
set(count 0)
foreach(file ${FILES})
  file(READ ${file} hex HEX)
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${hex}")
  get_filename_component(name ${file} NAME)
  string(APPEND text "constexpr unsigned char k${count}[] = {${bytes}0};\n")
  string(APPEND entries
         "    File{\"${name}\", {reinterpret_cast<const char*>(k${count}), sizeof(k${count}) - 1}},\n")
  math(EXPR count "${count} + 1")
endforeach()
string(APPEND text "}  // namespace\n\nstd::span<const File> ${LIST}() {\n"
  "  static const std::array<File, ${count}> files{{\n${entries}  }};\n  return files;\n}\n\n}  // namespace ohmglow::embedded\n")
file(WRITE ${OUTPUT} "${text}")
