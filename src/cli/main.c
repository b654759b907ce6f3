/* The command. */
int
main(void)
{
  return 2;
}
