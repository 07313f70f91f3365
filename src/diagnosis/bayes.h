#pragma once
// Bayes' rule and Shannon's entropy over a short list of explanations.

#include <span>
#include <vector>

namespace ohmglow::diagnosis {

// prior × likelihood, made to sum to 1. Where the likelihoods rule everything out, the prior.
[[nodiscard]] std::vector<double> posterior(std::span<const double> prior,
                                            std::span<const double> likelihood);
// −Σ p log2 p, bits (Shannon 1948).
[[nodiscard]] double entropy_bits(std::span<const double> probability);
// Σ p_i l_i.
[[nodiscard]] double mean(std::span<const double> probability, std::span<const double> likelihood);
// H(prior) − Σ_o p(o) H(posterior | o), bits (Lindley 1956). `outcomes` holds, per outcome, its
// likelihood under each explanation.
[[nodiscard]] double expected_gain_bits(std::span<const double> prior,
                                        const std::vector<std::vector<double>>& outcomes);

}  // namespace ohmglow::diagnosis
