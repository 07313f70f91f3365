// The server's own table of addresses against the document that describes it.

#include "serve/routes.h"
#include "serve/served_folder.h"

#include <catch2/catch.hpp>
#include <cctype>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>

using namespace ohmglow;

TEST_CASE("every address of the server is described, and nothing else is") {
  std::ifstream file(OHMGLOW_SOURCE_DIR "/docs/api/openapi.json");
  const auto document = nlohmann::json::parse(file);
  std::set<std::string> described;
  for (const auto& [path, item] : document.at("paths").items()) {
    for (const auto& [method, operation] : item.items()) {
      std::string name = method;
      for (char& c : name) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
      described.insert(name + " " + path);
    }
  }
  std::set<std::string> served;
  for (const serve::Route& route : serve::routes()) {
    served.insert(std::string(route.method) + " " + std::string(route.path));
  }
  for (const serve::FolderRoute& route : serve::folder_routes()) {
    served.insert(std::string(route.method) + " " + std::string(route.path));
  }
  CHECK(served == described);
}
