#include <cmath>
#include <cstdio>
#include <ohmglow/electrical.h>
#include <ohmglow/radiometry.h>
#include <ohmglow/records.h>

// NEMA MG 1-14.36 example (clause number from memory): 460, 467, 450 V are 1.96 % unbalanced.
int main() {
  const auto unbalance = ohmglow::electrical::unbalance({460, 467, 450});
  const auto there = ohmglow::radiometry::long_wave().radiance(ohmglow::Celsius{60});
  const bool policies = !ohmglow::records::policy_names().empty();
  std::printf("%.2f %%\n", unbalance->value());
  return std::abs(unbalance->value() - 1.960784) < 1e-6 && there && policies ? 0 : 1;
}
