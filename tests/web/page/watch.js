// Keeps what the policy refused, for the test to read.
window.refused = [];
document.addEventListener("securitypolicyviolation", (event) => {
  window.refused.push(`${event.violatedDirective} ${event.blockedURI}`);
});
