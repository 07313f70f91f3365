#pragma once
/// The sheets of a PDF: sizes, running lines, bookmarks, anchors and tags. A report is laid out
/// twice: a dry run finds the pages that anchors fall on, the second run prints their numbers.

#include "offered/documents/documents.h"
#include "offered/files/output_file.h"
#include "text.h"

#include <cairo-pdf.h>
#include <exception>
#include <functional>
#include <map>
#include <memory>
#include <string>
#include <vector>

namespace ohmglow::documents {

/// What stands on every page.
struct Running {
  std::string left;
  std::string right;
  std::string caution;
};

/// Where the dry run found everything.
struct PlacesInPages {
  std::map<std::string, int> page_of;  ///< by anchor
  int pages = 0;
};

class Pages {
 public:
  /// Prints to `out`; a dry run where `out` is null.
  Pages(const Letters& letters, Paper paper, Running running, PlacesInPages known,
        const records::Sink* out);
  ~Pages();
  Pages(const Pages&) = delete;
  Pages& operator=(const Pages&) = delete;

  [[nodiscard]] bool is_dry() const { return out_.sink == nullptr; }
  [[nodiscard]] const Letters& letters() const { return letters_; }
  [[nodiscard]] cairo_t* cr() const { return cr_; }
  [[nodiscard]] double left() const;
  [[nodiscard]] double width() const;
  [[nodiscard]] double top() const;
  [[nodiscard]] double bottom() const;
  [[nodiscard]] bool page_is_empty() const { return y <= top(); }

  /// Where the next thing goes.
  double y = 0;
  /// What the pages from the next one on belong to, beside the running line; empty: nothing.
  std::string chapter;

  void new_page();
  /// Ends the last page. Errors: those of the sink; the surface could not be written.
  [[nodiscard]] Result<void> finish();

  /// A place that links and bookmarks lead to, at the cursor.
  void anchor(const std::string& name);
  /// The page that the dry run found an anchor on; "" in the dry run itself.
  [[nodiscard]] std::string page_of(const std::string& anchor) const;
  /// A bookmark below another one (0: at the top); its id. 0 in a dry run.
  int bookmark(int parent, const std::string& title, const std::string& anchor);
  void describe(cairo_pdf_metadata_t what, const std::string& text);

  void begin(const char* tag, const std::string& attributes = "");
  void end(const char* tag);

  [[nodiscard]] PlacesInPages places() const { return {found_, page_}; }

 private:
  void running_lines();

  const Letters& letters_;
  Running running_;
  PlacesInPages known_;
  struct Out {
    const records::Sink* sink;
    Result<void> written = {};
  };
  Out out_;
  double paper_width_;
  double paper_height_;
  cairo_surface_t* surface_ = nullptr;
  cairo_t* cr_ = nullptr;
  int page_ = 0;
  std::map<std::string, int> found_;
};

/// Lays a document out twice and writes it page by page. Errors: no font at all; those of composing
/// and of the sink.
[[nodiscard]] Result<void> print_twice(Paper paper, const Running& running,
                                       const std::function<Result<void>(Pages&)>& compose,
                                       const records::Sink& out);
/// The same as bytes, of a document that is in memory.
[[nodiscard]] Result<std::string> printed_twice(Paper paper, const Running& running,
                                                const std::function<void(Pages&)>& compose);
/// Out of memory, or whatever else ended the composing.
[[nodiscard]] Error pdf_not_composed(const std::exception& error);

/// Between begin and end, however the scope is left.
class Tagged {
 public:
  Tagged(Pages& pages, const char* tag, const std::string& attributes = "")
      : pages_(pages), tag_(tag) {
    pages_.begin(tag_, attributes);
  }
  ~Tagged() { pages_.end(tag_); }
  Tagged(const Tagged&) = delete;
  Tagged& operator=(const Tagged&) = delete;

 private:
  Pages& pages_;
  const char* tag_;
};

}  // namespace ohmglow::documents
