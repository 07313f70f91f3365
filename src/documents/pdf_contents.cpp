// As C++17: the library's headers are none of C++20 to clang.

#include "pdf_contents.h"

// None of its PointerHolder is used here, only what the standard library has.
#define POINTERHOLDER_TRANSITION 4

#include <algorithm>
#include <cstdint>
#include <map>
#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFPageObjectHelper.hh>
#include <utility>

namespace ohmglow::documents {
namespace {

constexpr int kMostNested = 20;

// --- codes of a font as text
// ----------------------------------------------------------------------

/// A font's ToUnicode map; codes have one byte or two.
struct PdfFont {
  std::map<unsigned, std::string> text_of;
  unsigned bytes = 1;
};

void append_utf8(std::string& text, std::uint32_t c) {
  if (c < 0x80) {
    text += static_cast<char>(c);
  } else if (c < 0x800) {
    text += static_cast<char>(0xc0 | (c >> 6));
    text += static_cast<char>(0x80 | (c & 0x3f));
  } else if (c < 0x10000) {
    text += static_cast<char>(0xe0 | (c >> 12));
    text += static_cast<char>(0x80 | ((c >> 6) & 0x3f));
    text += static_cast<char>(0x80 | (c & 0x3f));
  } else {
    text += static_cast<char>(0xf0 | (c >> 18));
    text += static_cast<char>(0x80 | ((c >> 12) & 0x3f));
    text += static_cast<char>(0x80 | ((c >> 6) & 0x3f));
    text += static_cast<char>(0x80 | (c & 0x3f));
  }
}

std::uint32_t number_in(std::string_view bytes) {
  std::uint32_t value = 0;
  for (const char byte : bytes.substr(0, 4)) {
    value = value << 8 | static_cast<unsigned char>(byte);
  }
  return value;
}

std::string utf8_of(std::string_view utf16) {
  constexpr std::uint32_t kHigh = 0xd800;
  constexpr std::uint32_t kLow = 0xdc00;
  std::string text;
  for (std::size_t i = 0; i + 1 < utf16.size(); i += 2) {
    std::uint32_t c = number_in(utf16.substr(i, 2));
    if (c >= kHigh && c < kLow && i + 3 < utf16.size()) {
      c = 0x10000 + ((c - kHigh) << 10) + (number_in(utf16.substr(i + 2, 2)) - kLow);
      i += 2;
    }
    append_utf8(text, c);
  }
  return text;
}

/// Operands and operators of a content stream, or of a map, which is written likewise.
class Operations : public QPDFObjectHandle::ParserCallbacks {
 public:
  virtual void operation(const std::string& name, std::vector<QPDFObjectHandle>& operands) = 0;

  void handleObject(QPDFObjectHandle object, std::size_t, std::size_t) override {
    if (!object.isOperator()) {
      operands_.push_back(object);
      return;
    }
    operation(object.getOperatorValue(), operands_);
    operands_.clear();
  }
  void handleEOF() override {}

 private:
  std::vector<QPDFObjectHandle> operands_;
};

class ToUnicode : public Operations {
 public:
  explicit ToUnicode(PdfFont& font) : font_(font) {}

  void operation(const std::string& name, std::vector<QPDFObjectHandle>& operands) override {
    if (name == "endcodespacerange" && !operands.empty() && operands[0].isString()) {
      font_.bytes = static_cast<unsigned>(operands[0].getStringValue().size());
    } else if (name == "endbfchar") {
      for (std::size_t i = 0; i + 1 < operands.size(); i += 2) add(operands[i], operands[i + 1], 0);
    } else if (name == "endbfrange") {
      for (std::size_t i = 0; i + 2 < operands.size(); i += 3) add_range(&operands[i]);
    }
  }

 private:
  void add(QPDFObjectHandle& code, QPDFObjectHandle& text, unsigned offset) {
    if (!code.isString() || !text.isString()) return;
    std::string utf16 = text.getStringValue();
    if (!utf16.empty()) utf16.back() = static_cast<char>(utf16.back() + static_cast<char>(offset));
    font_.text_of[number_in(code.getStringValue()) + offset] = utf8_of(utf16);
  }
  void add_range(QPDFObjectHandle* range) {
    constexpr unsigned kMostCodes = 65536;
    if (!range[0].isString() || !range[1].isString()) return;
    const unsigned first = number_in(range[0].getStringValue());
    const unsigned last = number_in(range[1].getStringValue());
    for (unsigned i = 0; first + i <= last && i < kMostCodes; ++i) {
      if (!range[2].isArray()) {
        add(range[0], range[2], i);
        continue;
      }
      if (static_cast<int>(i) >= range[2].getArrayNItems()) return;
      QPDFObjectHandle text = range[2].getArrayItem(static_cast<int>(i));
      if (text.isString()) font_.text_of[first + i] = utf8_of(text.getStringValue());
    }
  }

  PdfFont& font_;
};

PdfFont font_from(QPDFObjectHandle dictionary) {
  PdfFont font;
  if (!dictionary.isDictionary()) return font;
  QPDFObjectHandle map = dictionary.getKey("/ToUnicode");
  if (!map.isStream()) return font;
  ToUnicode reader(font);
  QPDFObjectHandle::parseContentStream(map, &reader);
  return font;
}

// --- what a page shows

std::string decoded(QPDFObjectHandle stream) {
  try {
    const auto data = stream.getStreamData(qpdf_dl_specialized);
    return {reinterpret_cast<const char*>(data->getBuffer()), data->getSize()};
  } catch (const QPDFExc&) {  // a filter that is not undone, such as JPEG's
    const auto data = stream.getRawStreamData();
    return {reinterpret_cast<const char*>(data->getBuffer()), data->getSize()};
  }
}

class PageReader : public Operations {
 public:
  PageReader(PageContent& shown, QPDFObjectHandle resources, int depth)
      : shown_(shown), resources_(std::move(resources)), depth_(depth) {}

  void operation(const std::string& name, std::vector<QPDFObjectHandle>& operands) override {
    if (name == "Tf" && !operands.empty()) {
      font_ = font_from(resource("/Font", operands[0]));
    } else if (name == "Tj" || name == "TJ" || name == "'" || name == "\"") {
      for (QPDFObjectHandle& operand : operands) add_text(operand);
    } else if (name == "Do" && !operands.empty()) {
      draw(resource("/XObject", operands[0]));
    } else {
      for (QPDFObjectHandle& operand : operands) shown_.drawn += operand.unparse() + ' ';
      shown_.drawn += name + '\n';
    }
  }

 private:
  QPDFObjectHandle resource(const char* kind, QPDFObjectHandle& name) {
    if (!name.isName() || !resources_.isDictionary()) return QPDFObjectHandle::newNull();
    QPDFObjectHandle all = resources_.getKey(kind);
    return all.isDictionary() ? all.getKey(name.getName()) : QPDFObjectHandle::newNull();
  }

  void add_text(QPDFObjectHandle& operand) {
    if (operand.isArray()) {
      for (QPDFObjectHandle item : operand.getArrayAsVector()) add_text(item);
      return;
    }
    if (!operand.isString()) return;
    const std::string codes = operand.getStringValue();
    for (std::size_t i = 0; i + font_.bytes <= codes.size(); i += font_.bytes) {
      const auto at = font_.text_of.find(number_in(std::string_view(codes).substr(i, font_.bytes)));
      const std::string& letter = at == font_.text_of.end() ? kUnknown : at->second;
      if (letter != " ") shown_.text += letter;
    }
  }

  void draw(QPDFObjectHandle object) {
    if (!object.isStream() || depth_ > kMostNested) return;
    QPDFObjectHandle dictionary = object.getDict();
    if (dictionary.getKey("/Subtype").isNameAndEquals("/Image")) {
      shown_.images.push_back(dictionary.getKey("/Width").unparse() + 'x' +
                              dictionary.getKey("/Height").unparse() + decoded(object));
      shown_.drawn += "image\n";
      return;
    }
    PageReader inner(shown_, dictionary.getKey("/Resources"), depth_ + 1);
    QPDFObjectHandle::parseContentStream(object, &inner);
  }

  static inline const std::string kUnknown = "?";
  PageContent& shown_;
  QPDFObjectHandle resources_;
  PdfFont font_;
  int depth_;
};

}  // namespace

// --- a document

struct PdfContents::Inside {
  QPDF pdf;
  std::vector<QPDFPageObjectHelper> pages;
};

PdfContents::PdfContents(std::string_view bytes) : inside_(std::make_unique<Inside>()) {
  inside_->pdf.setSuppressWarnings(true);
  inside_->pdf.processMemoryFile("PDF", bytes.data(), bytes.size());
  inside_->pages = QPDFPageDocumentHelper(inside_->pdf).getAllPages();
}

PdfContents::~PdfContents() = default;

std::size_t PdfContents::pages() const {
  return inside_->pages.size();
}

PageContent PdfContents::shown(std::size_t page) {
  PageContent shown;
  PageReader reading(shown, inside_->pages[page].getAttribute("/Resources", false), 0);
  inside_->pages[page].parseContents(&reading);
  return shown;
}

std::set<std::string> PdfContents::fonts() {
  std::set<std::string> names;
  for (QPDFObjectHandle object : inside_->pdf.getAllObjects()) {
    if (!object.isDictionaryOfType("/FontDescriptor")) continue;
    QPDFObjectHandle name = object.getKey("/FontName");
    if (!name.isName()) continue;
    const std::string text = name.getName();
    const auto plus = text.find('+');
    names.insert(plus == std::string::npos ? text : text.substr(plus + 1));
  }
  return names;
}

// --- objects beside each other

struct PdfEquality::Inside {
  bool same(QPDFObjectHandle a, QPDFObjectHandle b) {
    if (a.isIndirect() && b.isIndirect() &&
        !seen_.insert({a.getObjectID(), b.getObjectID()}).second)
      return true;
    if (a.isStream() && b.isStream()) {
      return same_members(a.getDict(), b.getDict()) && decoded(a) == decoded(b);
    }
    if (a.isDictionary() && b.isDictionary()) {
      const bool is_font = a.isDictionaryOfType("/Font") && b.isDictionaryOfType("/Font");
      return is_font ? same_code(a, b) : same_members(a, b);
    }
    if (a.isArray() && b.isArray()) {
      if (a.getArrayNItems() != b.getArrayNItems()) return false;
      for (int i = 0; i < a.getArrayNItems(); ++i) {
        if (!same(a.getArrayItem(i), b.getArrayItem(i))) return false;
      }
      return true;
    }
    return a.getTypeCode() == b.getTypeCode() && a.unparseResolved() == b.unparseResolved();
  }

  /// A font is set aside but for what its codes mean.
  static bool same_code(QPDFObjectHandle a, QPDFObjectHandle b) {
    const PdfFont one = font_from(std::move(a));
    const PdfFont two = font_from(std::move(b));
    return one.text_of == two.text_of && one.bytes == two.bytes;
  }
  bool same_members(QPDFObjectHandle a, QPDFObjectHandle b) {
    static const std::set<std::string> kAside{"/Parent",      "/Length",        "/Filter",
                                              "/DecodeParms", "/StructParents", "/P"};
    std::set<std::string> keys = a.getKeys();
    const std::set<std::string> others = b.getKeys();
    keys.insert(others.begin(), others.end());
    return std::all_of(keys.begin(), keys.end(), [&](const std::string& key) {
      return kAside.count(key) != 0 || same(a.getKey(key), b.getKey(key));
    });
  }

  std::set<std::pair<int, int>> seen_;
};

PdfEquality::PdfEquality() : inside_(std::make_unique<Inside>()) {}
PdfEquality::~PdfEquality() = default;

bool PdfEquality::same_page(const PdfContents& a, const PdfContents& b, std::size_t page) {
  return inside_->same(a.inside_->pages[page].getObjectHandle(),
                       b.inside_->pages[page].getObjectHandle());
}

}  // namespace ohmglow::documents
